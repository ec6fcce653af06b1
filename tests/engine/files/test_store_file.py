"""The store file beside a design: what it lists, what is wrong in it, and that a save never touches it."""

from __future__ import annotations

import pytest

from engine.checks.assess import assess
from engine.design.places import SizeAt, StockAt
from engine.edits import EditError, delete, set_field
from engine.files.design_file import DesignFileError, dumps, load, loads, save
from engine.files.store_file import complete, moved
from tests import SAVED_DESIGNS
from tests.shops.design_texts import WHOLE

STOCK = WHOLE[WHOLE.index("[[stock]]") : WHOLE.index("[[machine]]")]
STORE = f'name = "Ferry street store"\n\n{STOCK}'
DESIGN = WHOLE.replace(STOCK, "").replace('display = "metric"\n', 'display = "metric"\nstore = "ferry.toml"\n')


@pytest.fixture
def beside(tmp_path):
    """A design with its store beside it."""
    (tmp_path / "ferry.toml").write_text(STORE)
    (tmp_path / "shed.toml").write_text(DESIGN)
    return tmp_path


def findings(design, code):
    return [found for found in assess(design).findings if found.code == code]


def test_a_design_has_what_its_store_lists(beside):
    design = load(beside / "shed.toml")
    assert design.stock == loads(WHOLE).stock and not findings(design, "no-store")
    figures = [assess(one).sets[0].balance.flow for one in (design, loads(WHOLE))]
    assert figures[0] == figures[1]


def test_a_save_leaves_the_store_alone_and_out_of_the_design(beside):
    design = set_field(load(beside / "shed.toml"), StockAt(0), "elbow_radius", 2.0)
    save(design, beside / "shed.toml")
    again = load(beside / "shed.toml")
    assert (beside / "ferry.toml").read_text() == STORE
    assert again.stock[0].elbow_radius == 2.0 and {stock.id for stock in again.stock} == {"spiral", "hose"}
    written = (beside / "shed.toml").read_text()
    assert 'id = "spiral"' in written and 'id = "hose"' not in written


def test_a_size_changed_in_a_design_is_the_design_s_own(beside):
    design = set_field(load(beside / "shed.toml"), SizeAt(1, 0), "price", 3.0)
    save(design, beside / "shed.toml")
    assert next(stock for stock in load(beside / "shed.toml").stock if stock.id == "hose").sizes[0].price == 3.0


def test_a_design_whose_store_is_let_go_keeps_all_it_has(beside):
    design = set_field(load(beside / "shed.toml"), StockAt(0).rows.of, "store", None)
    save(design, beside / "shed.toml")
    assert {stock.id for stock in load(beside / "shed.toml").stock} == {"spiral", "hose"}


def test_without_its_store_a_design_opens_says_what_is_missing_and_loses_nothing(beside):
    (beside / "ferry.toml").unlink()
    design = load(beside / "shed.toml")
    (found,) = findings(design, "no-store")
    assert found.severity == "fault" and '"ferry.toml"' in found.message and "spiral/160" in found.message
    save(design, beside / "shed.toml")
    (beside / "ferry.toml").write_text(STORE)
    assert load(beside / "shed.toml").stock == loads(WHOLE).stock


def test_a_size_that_no_name_gives_a_bore_is_a_mistake_where_the_store_is_missing(beside):
    (beside / "ferry.toml").unlink()
    (beside / "shed.toml").write_text(DESIGN.replace("spiral/160", "spiral/wide"))
    with pytest.raises(DesignFileError) as caught:
        load(beside / "shed.toml")
    assert 'run["main"].size' in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('bore = "160 mm"', 'bore = "160"', 'ferry.toml, line 22: stock["spiral"].size["160"].bore: "160"'),
        ('id = "hose"', 'id = "spiral"', 'ferry.toml, line 25: stock["spiral"].id: "spiral", which an earlier stock has already'),
        ("[[stock]]", "[[stock", "ferry.toml, line 3: not TOML"),
        ('name = "Ferry', 'runs = "Ferry', "ferry.toml, line 1: runs: a key that is not known"),
    ],
)
def test_a_mistake_in_a_store_is_told_with_the_file_and_its_line(beside, old, new, said):
    (beside / "ferry.toml").write_text(STORE.replace(old, new, 1))
    with pytest.raises(DesignFileError) as caught:
        load(beside / "shed.toml")
    assert str(caught.value).splitlines()[0].startswith(said)


@pytest.mark.parametrize("data", [b"\xff\xfe", b"x" * (1 << 20) + b"x", b"stock = 3", b"[" * 5000])
def test_any_bytes_of_a_store_give_mistakes_and_no_error(beside, data):
    (beside / "ferry.toml").write_bytes(data)
    with pytest.raises(DesignFileError) as caught:
        load(beside / "shed.toml")
    assert all(line.startswith("ferry.toml") for line in str(caught.value).splitlines())


@pytest.mark.parametrize("name", ["../ferry.toml", "/etc/passwd", "..", "a/b", "c\\\\d", "~x"])
def test_a_store_is_a_file_beside_the_design(name, tmp_path):
    (tmp_path / "shed.toml").write_text(DESIGN.replace("ferry.toml", name))
    with pytest.raises(DesignFileError) as caught:
        load(tmp_path / "shed.toml")
    assert str(caught.value).splitlines()[0].startswith("line 4: store: ")


def test_a_file_without_a_store_beside_it_can_hold_all_of_a_design(beside):
    design = load(beside / "shed.toml")
    text = dumps(complete(design))
    assert loads(text) == complete(design) and loads(text).stock == design.stock


def test_what_the_store_lists_cannot_be_deleted_from_a_design(beside):
    design = load(beside / "shed.toml")
    with pytest.raises(EditError, match=r"which ferry\.toml lists"):
        delete(design, StockAt(0))


@pytest.mark.parametrize("name", ["valley_metals", "harbor_duct"])
def test_the_stores_among_the_demos_can_be_named_by_any_design(name, tmp_path):
    (tmp_path / "ferry.toml").write_text((SAVED_DESIGNS / f"{name}.toml").read_text())
    bare = DESIGN[: DESIGN.index("[[machine]]")]
    (tmp_path / "shed.toml").write_text(bare)
    assert all(stock.sizes for stock in load(tmp_path / "shed.toml").stock)


def test_a_design_saved_away_from_its_store_takes_its_stock_along(beside, tmp_path_factory):
    design, elsewhere = load(beside / "shed.toml"), tmp_path_factory.mktemp("elsewhere") / "shed.toml"
    save(design, elsewhere)
    again = load(elsewhere)
    assert again.stock == design.stock and all(found.severity == "note" for found in findings(again, "no-store"))


def test_a_design_that_goes_to_another_folder_takes_the_stock_of_its_store_along(beside):
    """No price is lost and no bore exchanged for that of another store of the same name."""
    design, away = load(beside / "shed.toml"), beside / "away"
    away.mkdir()
    assert moved(design, beside, beside) == (design, "")
    dearer = STORE.replace("price = 9.40", "price = 19.40")
    for there, why in ((None, "is not there"), (dearer, "is another one there"), ("no store", "cannot be read there")):
        if there is not None:
            (away / "ferry.toml").write_text(there)
        gone, told = moved(design, beside, away)
        save(gone, away / "shed.toml")
        back = load(away / "shed.toml")
        assert back.store is None and back.stock == design.stock and not findings(back, "no-store")
        assert told == f"ferry.toml {why}: its stock is written into the design"
    (away / "ferry.toml").write_text(STORE)
    assert moved(design, beside, away) == (design, "")

"""The store file in an interview: made, read by another, changed for one shop, gone. Prices are invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from engine.design.typed import BadValue
from engine.files.design_file import load, save
from engine.survey.answers import Answers, blank, finished, wanted
from engine.survey.kept import dumps, loads
from engine.survey.store import with_store_made
from tests.tui.pages.test_interview import complete, picked, shown, typed
from tui.pages.interview.sheets.all_sheets import sheet


def first_shop(folder: Path) -> Answers:
    """A shop whose store is to be written to a file that is not there yet."""
    answers = typed(picked(replace(complete(), folder=str(folder)), "store", "spiral duct, EN 1506"), "stock 0", "125", "9.40 12 18 8")
    return typed(answers, "store", "store file", "bay.toml")


def made(answers: Answers) -> Answers:
    assert any(row.asks == "store file" for row in sheet(answers, "store").rows)
    return answers.with_shop(with_store_made(answers.shop, Path(answers.folder)))


def test_a_store_file_is_made_and_shared(tmp_path):
    before = first_shop(tmp_path)
    assert "bay.toml is not in" in wanted(before)["store"] and "\n" not in wanted(before)["store"]
    first = made(before)
    assert wanted(first) == {} and first.shop.shelf and not first.shop.shelf.missing
    other = typed(replace(complete(), folder=str(tmp_path)), "store", "store file", "bay.toml")
    assert other.shop.stock == first.shop.stock and wanted(other) == {}
    save(finished(other), tmp_path / "shop.toml")
    assert "[[stock]]" not in (tmp_path / "shop.toml").read_text()
    assert next(size for size in load(tmp_path / "shop.toml").stock[0].sizes if size.nominal == "125").price == 9.4
    with pytest.raises(BadValue, match=r"bay\.toml is not made"):
        with_store_made(before.shop, tmp_path)


def test_what_is_changed_of_it_holds_in_one_shop_alone(tmp_path):
    text = (tmp_path / "bay.toml").read_text() if (made(first_shop(tmp_path))) else ""
    other = typed(typed(replace(complete(), folder=str(tmp_path)), "store", "store file", "bay.toml"), "stock 0", "125", "7")
    assert (tmp_path / "bay.toml").read_text() == text
    assert next(size for size in finished(other).stock[0].sizes if size.nominal == "125").price == 7
    assert loads(dumps(other)) == other


def test_a_store_file_that_vanished_is_one_line_and_every_other_answer_stays(tmp_path):
    answers = made(first_shop(tmp_path))
    (tmp_path / "bay.toml").rename(tmp_path / "elsewhere.toml")
    again = loads(dumps(answers))
    assert again.shop.machines == answers.shop.machines and "bay.toml is not in" in wanted(again)["store"]
    assert shown(again, "store")[1] == "wanted"
    (tmp_path / "elsewhere.toml").rename(tmp_path / "bay.toml")
    assert loads(dumps(again)) == answers
    assert typed(again, "store", "store file", "").shop.store is None


@pytest.mark.parametrize(("name", "reason"), [("../bay.toml", "name of a file beside"), ("broken.toml", "broken.toml, line 1")])
def test_what_is_no_store_file_is_refused_in_a_line(tmp_path, name, reason):
    (tmp_path / "broken.toml").write_text("[[stock]\n")
    with pytest.raises(BadValue, match=reason) as refusal:
        typed(replace(blank(), folder=str(tmp_path)), "store", "store file", name)
    assert "\n" not in str(refusal.value)

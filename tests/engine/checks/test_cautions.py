"""Health and safety cautions: which hold for which design, and the figures in them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.air.losses.leaks import opening
from engine.checks import cautions
from engine.checks.assess import assess
from tests.shops.small_shops import collector, hose, machine, pipe, q, run, shop, si

ALWAYS = {"authority", "lungs", "explosion", "sparks", "lock-off"}


def design(**changes):
    base = shop(run("main", "collector", 125, 2.0, ends="saw/hood"), machines=(machine("saw", needs=0.2),), sets=(("saw",),))
    return replace(base, **changes)


def ids(design) -> set[str]:
    return {caution.id for caution in cautions.applying(design)}


def test_the_opening_for_make_up_air_matches_the_worked_figure():
    # 378 L/s at 3 Pa through a sharp opening (coefficient 0.6) needs 0.28 m2: computed by hand, air of 1.2 kg/m3.
    assert opening(0.378, 3.0, 1.2) == pytest.approx(0.2817, abs=5e-4)
    blown_out = design(collector=replace(design().collector, discharge="outside"))
    assert "0.538 m2" in next(caution.text(blown_out) for caution in cautions.applying(blown_out) if caution.id == "outside")


def test_some_cautions_hold_for_every_design():
    assert ids(design()) >= ALWAYS


@pytest.mark.parametrize(
    ("collector_says", "wanted", "unwanted"),
    [({}, "inside", "outside"), ({"discharge": "room"}, "inside", "outside"), ({"discharge": "outside"}, "outside", "inside")],
)
def test_where_the_air_goes_decides_its_caution(collector_says, wanted, unwanted):
    found = ids(design(collector=collector(**collector_says)))
    assert wanted in found and unwanted not in found


@pytest.mark.parametrize(("largest", "holds"), [(0.70, False), (q("1500 cfm", "flow").si, False), (0.72, True)])
def test_more_than_1500_cfm_is_the_size_at_which_to_ask(largest, holds):
    # 1500 cfm = 0.7079 m3/s
    curve = ((0.0, 2000.0), (largest, 0.0))
    assert ("large-collector" in ids(design(collector=collector(curve)))) is holds


def test_free_air_counts_where_there_is_no_curve():
    bought = replace(collector(), curve=(), free_air=si(0.8), max_suction=si(2000.0))
    assert "large-collector" in ids(design(collector=bought))


def test_plastic_that_is_used_is_named_and_metal_is_not():
    plastic = replace(pipe(125), id="drain", material="PVC")
    unused = design(stock=(pipe(125), plastic, hose(125)))
    assert "earthing" not in ids(unused)
    used = replace(unused, runs=(replace(unused.runs[0], size="drain/125"),))
    caution = next(caution for caution in cautions.applying(used) if caution.id == "earthing")
    assert "drain" in caution.text(used) and cautions.insulating_pipes(used) == ("drain",)
    conducting = replace(used, stock=(pipe(125), replace(plastic, conducts=True), hose(125)))
    assert "earthing" not in ids(conducting)


def test_a_run_from_the_store_is_made_of_what_its_stock_is():
    """What it was said to be made of while it had a bore of its own is not counted."""
    first = replace(design().runs[0], ends=None, material="PVC")
    own_bore = run("far", "main", 125, 1.0, ends="saw/hood")
    made = design(runs=(first, replace(own_bore, size=None, bore=q("120 mm", "bore"), material="PVC")))
    [told] = [one for one in assess(made).findings if one.code == "unearthed-pipe"]
    assert told.where == "far" and "PVC, in one run," in told.message


def test_plastic_without_a_stock_counts_too():
    own_bore = replace(design().runs[0], size=None, bore=q("120 mm", "bore"), material="PVC")
    assert cautions.insulating_pipes(design(runs=(own_bore,))) == ("PVC",)


@pytest.mark.parametrize("display", ["metric", "imperial"])
def test_texts_are_complete_and_in_the_units_of_the_design(display):
    outside = design(display=display, collector=collector(discharge="outside"))
    for caution in cautions.cautions():
        assert caution.title and caution.source
        assert "{" not in caution.text(outside)
    text = next(caution for caution in cautions.applying(outside) if caution.id == "outside").text(outside)
    assert ("2600 m3/h" if display == "metric" else "1530 cfm") in text
    assert ("0.538 m2" if display == "metric" else "5.79 ft2") in text

"""The chart of stocked bores as text: its bands and its lines."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import load
from engine.checks.assess import assess
from engine.report.chart import SIGNS, Signs, as_text, band
from engine.search.sizing.chart import chart
from tests import SAVED_DESIGNS as DEMOS

LINE = Signs("·", "─", "├", "┤", "○")


def test_the_rings_stand_at_the_runs_flows():
    assessment = assess(load(DEMOS / "signal_box.toml"))
    shown = chart(assessment, "main")
    row = band(shown, shown.bores[-1], 60, LINE)
    wanted = {int(60 * flow / shown.end) for _, flow in shown.flows}
    assert {at for at, letter in enumerate(row) if letter == "○"} == wanted
    assert row.index("├") < row.index("┤")


def test_the_chart_begins_and_ends_with_what_the_store_has():
    assessment = assess(load(DEMOS / "signal_box.toml"))
    design = assessment.design
    spiral = next(stock for stock in design.stock if stock.id == "spiral")
    first, *more, last = sorted(spiral.sizes, key=lambda size: size.bore.si)
    lacking = replace(spiral, sizes=(replace(first, in_store=False), replace(more[0], in_store=False), *more[1:], last))
    now = assess(replace(design, stock=tuple(lacking if stock is spiral else stock for stock in design.stock)))
    assert [bore.ref for bore in chart(now, "main").bores] == [f"spiral/{size.nominal}" for size in (*more[1:], last)]


@pytest.mark.parametrize("signs", [LINE, SIGNS])
@pytest.mark.parametrize("width", [56, 80, 120])
@pytest.mark.parametrize("demo", ["signal_box", "boat_shed"])
def test_every_line_fits(demo, width, signs):
    assessment = assess(load(DEMOS / f"{demo}.toml"))
    for name in assessment.look.runs:
        lines = list(as_text(assessment, name, width, signs))
        assert max(map(len, lines)) <= width, (name, lines)
        assert signs != SIGNS or all(line.isascii() for line in lines)


def test_a_slow_or_fast_bore_is_marked_in_the_table():
    assessment = assess(load(DEMOS / "signal_box.toml"))
    rows = {line.split()[0]: line for line in list(as_text(assessment, "planer drop"))[8:] if line.strip()}
    assert "!" in rows["spiral/80"] and "!" not in rows[">spiral/125"]

"""What goes along with a field is the same wherever the field is edited: by an edit, in the form, in the interview."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design import Collector, CurvePoint, Run, joins_as
from engine.design.places import COLLECTOR, PieceAt, PortAt, RunAt, ZoneAt
from engine.design.rules.consistency import mistakes
from engine.edits import at, set_field
from engine.units import parse
from tests.shops import two_drops
from tui.pages.interview.questions import blank
from tui.pages.interview.sheets.all_sheets import sheet
from tui.work.fields.fields import fields
from tui.work.fields.values import changed, read

# Its largest suction is not at no flow: the curve rises first.
CURVE = tuple(
    CurvePoint(flow=parse(flow, "flow"), pressure=parse(pressure, "pressure"))
    for flow, pressure in (("0 m3/h", "2000 Pa"), ("900 m3/h", "2300 Pa"), ("2600 m3/h", "100 Pa"))
)
GIVEN = {"free_air": "2500 m3/h", "max_suction": "1900 Pa"}


def by_edit(design, field: str) -> Collector:
    return set_field(design, COLLECTOR, field, parse(GIVEN[field], "flow" if field == "free_air" else "pressure")).collector


def by_form(design, field: str) -> Collector:
    shown = next(one for one in fields(design, COLLECTOR) if one.name == field)
    return changed(design, shown, read(shown, GIVEN[field], "metric"))[0].collector


def by_interview(design, field: str) -> Collector:
    answers = replace(blank(), shop=design)
    (row,) = (row for row in sheet(answers, "curve").rows if row.label == field.replace("_", " "))
    return row.line.read(GIVEN[field])[0].shop.collector


@pytest.mark.parametrize("way", [by_edit, by_form])
def test_free_air_and_largest_suction_take_the_place_of_a_curve_and_keep_its_ends(way):
    design = set_field(two_drops.design(), COLLECTOR, "curve", CURVE)
    free = way(design, "free_air")
    assert (free.curve, free.free_air.text, free.max_suction.text) == ((), "2500 m3/h", "2300 Pa")
    strong = way(design, "max_suction")
    assert (strong.curve, strong.free_air.text, strong.max_suction.text) == ((), "2600 m3/h", "1900 Pa")


def test_free_air_beside_a_part_of_a_curve_is_its_last_point_where_all_that_a_sheet_gives_is_kept():
    part = set_field(two_drops.design(), COLLECTOR, "curve", CURVE[:1])
    free = by_interview(part, "free_air")
    assert [(point.flow.text, point.pressure.si) for point in free.curve][1:] == [("2500 m3/h", 0.0)]
    assert free.curve[0] == part.collector.curve[0] and free.max_suction is None


def test_a_known_loss_of_a_joint_goes_with_the_way_it_joined():
    design = set_field(two_drops.design(), RunAt(1), "loss", 0.3)
    assert set_field(design, RunAt(1), "as_", "branch") == design
    legs = set_field(set_field(design, RunAt(2), "loss", 0.2), RunAt(1), "as_", "leg")
    assert [(joins_as(run), run.loss) for run in legs.runs[1:3]] == [("leg", None), ("leg", None)] and mistakes(legs) == ()


def test_one_run_at_most_goes_straight_on():
    straight = set_field(two_drops.design(), RunAt(1), "as_", "straight")
    assert [joins_as(run) for run in straight.runs[1:3]] == ["straight", "branch"] and mistakes(straight) == ()


def test_a_side_of_a_zone_takes_the_other_along_once_it_passes_it():
    design = two_drops.design(two_drops.FULL)
    zone = at(design, ZoneAt(0))
    wide = zone.east.si - zone.west.si
    moved = at(set_field(design, ZoneAt(0), "west", parse("3 m", "length")), ZoneAt(0))
    assert moved.west.si == 3.0 and moved.east.si == pytest.approx(3.0 + wide, abs=1e-3)
    near = parse(f"{zone.east.si - 0.01} m", "length")
    assert at(set_field(design, ZoneAt(0), "west", near), ZoneAt(0)).east == zone.east


def test_what_nothing_depends_on_changes_alone():
    design = two_drops.design()
    length = parse("2 m", "length")
    assert at(set_field(design, PieceAt(0, 0), "length", length), PieceAt(0, 0)).length == length
    assert set_field(design, PortAt(0, 0), "needs", at(design, PortAt(0, 0)).needs) == design
    assert isinstance(at(design, RunAt(0)), Run)

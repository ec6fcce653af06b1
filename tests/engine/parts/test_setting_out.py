"""The setting out: places by hand from a small shop and the boat shed, walls, hangers, holes. Designs are invented."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from math import pi

import pytest

from engine import load
from engine.catalog.joining import joining, practice
from engine.design import Design
from engine.parts.chain import chains
from engine.parts.hangers import hangers
from engine.parts.hangers import load as carried
from engine.parts.setting_out import Mark, SettingOut, setting_out
from engine.parts.walls import reaches
from engine.report.setting_out import as_json, as_text
from engine.space.room import room_of
from engine.space.walls import walls_of
from tests import SAVED_DESIGNS
from tests.shops.parts_shop import TEXT, canoe_loft

FOOT = 0.3048
ROOM = """\
[site]
height = "3 m"
room = [
    { east = "-2 m", north = "-1 m" }, { east = "8 m", north = "-1 m" }, { east = "8 m", north = "5 m" }, { east = "-2 m", north = "5 m" },
]
"""
ROOMED = TEXT.replace("[collector]", ROOM + "[collector]")


def marks(found: SettingOut, run: str, kind: str) -> list[Mark]:
    return [mark for one in found.runs if one.run == run for mark in one.marks if mark.kind == kind]


def off(mark: Mark) -> dict[str, float]:
    return {reach.wall: pytest.approx(reach.distance, abs=1e-6) for reach in mark.off}


def test_the_riser_of_the_boat_shed_by_hand():
    """Inlet 29ft 6in east, 2 ft north, 7 ft up; 2 ft to an elbow of 12 in radius, so its corner is 5 ft north; 2 ft up to the Y."""
    found = setting_out(load(SAVED_DESIGNS / "boat_shed.toml"))
    [elbow], [y] = marks(found, "riser", "elbow"), marks(found, "riser", "Y")
    assert elbow.centre == pytest.approx((29.5 * FOOT, 5 * FOOT, 7 * FOOT)) and off(elbow) == {"west 2": 29.5 * FOOT, "south": 5 * FOOT}
    assert y.centre == pytest.approx((29.5 * FOOT, 5 * FOOT, 10 * FOOT))


def test_places_are_told_from_the_two_walls_of_the_nearest_corner():
    found = setting_out(canoe_loft(ROOMED))
    [elbow] = marks(found, "main", "elbow")
    # 4 m north and a radius of 1.5 bores: 4.24 m north of the inlet; walls at -2 m and 5 m.
    assert elbow.centre == pytest.approx((0.0, 4.24, 2.2)) and off(elbow) == {"west": 2.0, "north": 0.76}
    [wye] = marks(found, "main", "wye")
    assert wye.centre == pytest.approx((0.24 + 2.0, 4.24, 2.2)) and wye.what == "wye to saw drop, lathe drop"


def test_of_an_l_shaped_room_only_corners_square_off_the_place_count():
    corners = ((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (4.0, 8.0), (4.0, 4.0), (0.0, 4.0))
    walls = walls_of(corners)
    assert [wall.name for wall in walls] == ["south", "east", "north 1", "west 1", "north 2", "west 2"]
    assert {reach.wall: reach.distance for reach in reaches(walls, (4.5, 1.0, 2.0))} == {"west 2": 4.5, "south": 1.0}
    assert {reach.wall: reach.distance for reach in reaches(walls, (5.0, 7.0, 2.0))} == {"west 1": 1.0, "north 1": 1.0}


def test_hangers_of_a_straight_are_measured_off_the_same_walls():
    """A straight past the middle of a room 10 m wide, each end of which would be measured off another wall by itself; one out of the room."""
    walls = walls_of(((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)))
    line = [(x, 2.0, 2.4) for x in (1.0, 4.0, 8.0)]
    assert [{reach.wall: reach.distance for reach in reaches(walls, at, line)} for at in line] == [{"west": at[0], "south": 2.0} for at in line]
    assert {reach.wall for reach in reaches(walls, line[-1])} == {"east", "south"}
    outside = [(1.0, 2.0, 2.4), (12.0, 2.0, 2.4)]
    assert [reaches(walls, at, outside) for at in outside] == [reaches(walls, at) for at in outside]
    for of_run in setting_out(load(SAVED_DESIGNS / "signal_box_mended.toml")).runs:
        for what in {mark.what for mark in of_run.marks if mark.kind in ("hanger", "strap")}:
            assert len({tuple(reach.wall for reach in mark.off) for mark in of_run.marks if mark.what == what}) == 1


def test_walls_are_named_alike_whichever_way_round_they_are_given():
    corners = ((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0))
    assert {wall.name for wall in walls_of(corners[::-1])} == {"south", "east", "north", "west"}


@pytest.mark.parametrize("length", [0.2, 0.4, 1.2, 1.25, 3.0, 4.3, 9.0])
@pytest.mark.parametrize("material", ["galvanised spiral", "PVC"])
def test_no_hanger_is_farther_from_the_next_or_from_a_fitting_than_the_rules_allow(length, material):
    [chain] = [chain for chain in chains(canoe_loft(TEXT.replace("galvanised spiral", material))).values() if chain.run == "main"]
    part = next(part for part in chain.parts if part.kind == "straight")
    at = hangers(chain, replace(part, length=length))
    assert bool(at) == (length >= practice().least_hung)
    if at:
        assert at[0] <= practice().from_fitting + 1e-9 and length - at[-1] <= practice().from_fitting + 1e-9
        assert all(0 < after - before <= joining(material).spacing(chain.bore) + 1e-9 for before, after in pairwise(at))


def test_hangers_together_carry_the_whole_straight_half_full_of_chips():
    design = canoe_loft(ROOMED)
    chain = chains(design)["main"]
    own = [mark for mark in marks(setting_out(design), "main", "hanger") if mark.what.endswith("straight 1")]
    # Half of a bore of 160 mm at 200 kg/m3, and 4.3 kg/m2 of sheet: 2.01 + 2.16 kg/m.
    assert carried(chain) == pytest.approx(pi * 0.16**2 / 8 * 200 + pi * 0.16 * 4.3)
    assert sum(mark.load or 0.0 for mark in own) == pytest.approx(4.0 * carried(chain))


def test_upright_pipe_is_strapped_and_a_slope_is_told():
    design = canoe_loft(ROOMED.replace('elbow = "45 deg", toward = "down"', 'elbow = "90 deg", toward = "down"'))
    assert marks(setting_out(design), "saw drop", "strap") and not any(
        "falls" in remark for run in setting_out(design).runs for remark in run.remarks
    )
    sloping = setting_out(canoe_loft(ROOMED))
    [remark] = [remark for run in sloping.runs for remark in run.remarks]
    assert remark == "straight 2 falls 707 mm over its length, going outward"


def test_joists_say_where_hangers_find_hold():
    def remarks(joists: str) -> list[str]:
        found = setting_out(canoe_loft(ROOMED.replace("[site]", f'[site]\njoists = "{joists}"')))
        return [remark for run in found.runs if run.run == "main" for remark in run.remarks]

    # Straight 1 leads north, straight 2 east.
    assert [(one.partition(":")[0], "cross-pieces" in one) for one in remarks("north-south")] == [("straight 1", True), ("straight 2", False)]
    assert [(one.partition(":")[0], "cross-pieces" in one) for one in remarks("east-west")] == [("straight 2", True), ("straight 1", False)]


def test_a_wall_that_is_gone_through_gets_a_hole():
    found = setting_out(canoe_loft(ROOMED.replace('{ straight = "2 m" }]', '{ straight = "9 m" }]')))
    [hole] = marks(found, "main", "hole")
    assert hole.centre[0] == pytest.approx(8.0) and hole.what == "hole in the east wall" and (hole.bore or 0) > 0.16


def test_without_a_room_and_without_a_place_it_says_what_is_measured_from(capsys):
    assert "no walls" in as_text(canoe_loft(), setting_out(canoe_loft()))
    bare = canoe_loft(TEXT.replace('east = "0 m"\nnorth = "0 m"\nup = "2.2 m"\n', ""))
    assert "collector has no place" in as_text(bare, setting_out(bare))


def test_a_run_without_a_direction_is_told_to_have_no_place():
    lost = canoe_loft(TEXT.replace('toward = "south"\n', "").replace('angle = "45 deg"\n', ""))
    found = setting_out(lost)
    [run] = [one for one in found.runs if one.run == "saw drop"]
    assert run.marks == () and "no place" in run.remarks[0]


def test_the_order_is_from_the_collector_outward():
    order = [run.run for run in setting_out(load(SAVED_DESIGNS / "boat_shed.toml")).runs]
    design: Design = load(SAVED_DESIGNS / "boat_shed.toml")
    joins = {run.id: run.joins for run in design.runs}
    assert len(order) == len(joins) and all(joins[run] in ("collector", *order[:i]) for i, run in enumerate(order))


@pytest.mark.parametrize("name", ["boat_shed", "signal_box"])
def test_it_reads_in_80_columns_with_every_distance_whole(name):
    design = load(SAVED_DESIGNS / f"{name}.toml")
    found = setting_out(design)
    printed = as_text(design, found)
    assert max(map(len, printed.splitlines())) <= 80 and "..." not in printed
    assert len(room_of(design.site).walls) == len(found.walls)


def test_json_is_in_metres():
    told = json.loads(as_json(canoe_loft(ROOMED), setting_out(canoe_loft(ROOMED))))
    [main] = [run for run in told["runs"] if run["run"] == "main"]
    elbow = next(mark for mark in main["marks"] if mark["kind"] == "elbow")
    assert (elbow["east"], elbow["north"], elbow["up"]) == (0.0, 4.24, 2.2) and elbow["off"][0] == {"from": "west", "distance": 2.0}

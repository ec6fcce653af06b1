"""The room as it is said: floors, walls, doors shut and open, posts, windows, places kept clear, and what cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design import Site
from engine.design.typed import BadValue
from engine.space.room import room_of
from engine.space.walls import walls_of
from engine.survey.answers import blank, finished
from engine.survey.floor import crossing, floor_text, outside, read_body, read_floor, read_place
from engine.survey.kept import dumps, loads
from engine.survey.room import placed, read_door, read_free, read_post, read_stand, with_zones
from engine.units import parse
from tests.tui.pages.test_interview import typed

SITE = Site(room=read_floor("9 x 6", "metric"), height=parse("2.7 m", "length"))
ELL = Site(room=read_floor("0,0; 7,0; 7,4; 3,4; 3,6; 0,6", "metric"))


def boxed(found) -> dict[str, tuple[float | None, ...]]:
    """Kind of zone -> its sides, m; None where it has none."""
    sides = ("west", "east", "south", "north", "bottom", "top")
    return {zone.kind: tuple(None if getattr(zone, side) is None else round(getattr(zone, side).si, 4) for side in sides) for zone in found.zones}


@pytest.mark.parametrize(
    ("text", "units", "far"), [("7 x 4", "metric", (7, 4)), ("24 by 16", "imperial", (7.3152, 4.8768)), ("7,5 x 4", "metric", (7.5, 4))]
)
def test_a_floor_of_two_numbers_has_its_chosen_corner_at_nothing(text, units, far):
    room = read_floor(text, units)
    assert [(round(corner.east.si, 9), round(corner.north.si, 9)) for corner in room] == [(0, 0), (far[0], 0), far, (0, far[1])]
    assert read_floor(floor_text(room), units) == room


def test_a_floor_of_corners_keeps_them_and_knows_its_walls():
    assert read_floor(floor_text(ELL.room), "metric") == ELL.room
    corners = [(corner.east.si, corner.north.si) for corner in ELL.room]
    walls = walls_of(corners)
    assert [(wall.name, wall.length) for wall in walls] == [
        ("south", 7), ("east 1", 4), ("north 1", 4), ("east 2", 2), ("north 2", 3), ("west", 6),
    ]  # fmt: skip
    for wall in walls:
        middle = [(a + b) / 2 for a, b in zip(wall.start, wall.end, strict=True)]
        off = [tuple(at + by * way for at, way in zip(middle, wall.inward, strict=True)) for by in (0.1, -0.1)]
        assert [outside(ELL, spot) for spot in off] == [False, True]
    assert {(wall.side, *sorted((wall.start, wall.end))) for wall in walls_of(corners[::-1])} == {
        (wall.side, *sorted((wall.start, wall.end))) for wall in walls
    }


@pytest.mark.parametrize("text", ["", "7", "7 x", "7 x 0", "-7 x 4", "7 x 4 x 2", "seven x 4", "7 kg x 4", "7 x 2000"])
def test_what_is_no_floor_is_refused_in_a_line(text):
    with pytest.raises(BadValue) as refusal:
        read_floor(text, "metric")
    assert "\n" not in str(refusal.value) and "wanted" in str(refusal.value)


def test_a_wall_that_crosses_another_is_told_as_soon_as_it_is_there():
    assert crossing(read_floor("0,0; 7,0; 7,4; 3,4", "metric")) == ""
    assert "from corner 3 crosses the one from corner 1" in crossing(read_floor("0,0; 7,0; 7,4; 3,-1", "metric"))
    assert "corner 2 is where corner 1 is" in crossing(read_floor("0,0; 0,0", "metric"))


def test_a_door_and_a_window_may_be_called_so_and_another_word_is_named():
    assert read_free(SITE, "north 2.6 1.4 1.0 2.1 window", "metric") == read_free(SITE, "window north 2.6 1.4 1.0 2.1", "metric")
    assert read_free(SITE, "window north 2.6 1.4 1.0 2.1", "metric") == read_free(SITE, "north 2.6 1.4 1.0 2.1", "metric")
    assert read_door(SITE, "door south 1.2 0.9", "metric") == read_door(SITE, "south 1.2 0.9 swing", "metric")
    with pytest.raises(BadValue, match="'old': wanted along, width, and if known sill, head"):
        read_free(SITE, "north 2.6 1.4 old", "metric")


def test_where_the_collector_may_stand_is_a_place_that_no_duct_has_to_mind():
    assert boxed(read_stand(SITE, "5, 1 2 x 1", "metric")) == {"collector place": (4.0, 6.0, 0.5, 1.5, None, None)}
    assert "guess" in read_stand(SITE, "5, 1", "metric").told
    for text in ("5", "5, 1 2", "12, 1 2 x 1", "5, 1 2 x 1 3"):
        with pytest.raises(BadValue):
            read_stand(SITE, text, "metric")
    answers = typed(typed(typed(blank(), "room", "floor", "9 x 6"), "place", "or at 1", "5, 1 2 x 1"), "place", "or at 2", "1, 5")
    shop = finished(answers)
    assert [zone.name for zone in shop.site.zones] == ["collector place", "collector place 2"]
    assert (shop.collector.east.si, shop.collector.north.si) == (5, 1), "without a place of its own it stands in the first"
    assert room_of(shop.site).obstacles == () and loads(dumps(answers)) == answers
    assert finished(typed(answers, "place", "place", "2, 2")).collector.east.si == 2


def test_a_swing_door_is_a_box_in_its_wall_and_the_floor_it_sweeps():
    found = read_door(SITE, "south 1.2 0.9", "metric")
    assert boxed(found) == {"door": (1.2, 2.1, 0.0, 0.1, None, 2.0), "open door": (1.2, 2.1, 0.0, 0.9, None, 2.0)}
    assert "guess" in found.told and "guess" not in read_door(SITE, "south 1.2 0.9 2.1", "metric").told


def test_an_overhead_door_stands_open_under_the_ceiling():
    found = boxed(read_door(SITE, "east 0.5 2.4 2.1 overhead", "metric"))
    assert found == {"door": (8.9, 9.0, 0.5, 2.9, None, 2.1), "open door": (6.9, 9.0, 0.5, 2.9, 2.1, 2.5)}
    low = replace(SITE, height=parse("2.3 m", "length"))
    assert boxed(read_door(low, "e 0.5 2.4 2.1 o", "metric"))["open door"][4:] == (2.1, None)


def test_a_door_that_opens_outward_sweeps_nothing_inside():
    assert list(boxed(read_door(SITE, "n 1 1 out", "metric"))) == ["door"]
    assert boxed(read_door(SITE, "north 1 1", "metric"))["open door"] == (1.0, 2.0, 5.0, 6.0, None, 2.0)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("south 8.5 0.9", "a door 0.9 m wide from 8.5 m on: the south wall is 9 m long"), ("south 1 0", "width of 0 m: wanted more than 0"),
        ("south -1 1", "along of -1 m"), ("south", "wanted along, width"), ("middle 1 1", "wanted a wall"),
        ("wall 7 1 1", "there are south, east, north, west"),
        ("south 1 1 3", "a door 3 m high: the ceiling is at 2.7 m"), ("south 1 1 revolving", "wanted one of swing"), ("", "wanted a wall"),
    ],
)  # fmt: skip
def test_a_door_that_cannot_be_is_refused_in_a_line(text, reason):
    with pytest.raises(BadValue, match=reason):
        read_door(SITE, text, "metric")


def test_a_side_with_two_walls_is_asked_for_by_its_number():
    """As the setting out and the printed plan call them."""
    for text in ("north 0.5 1", "north 6 0.9", "north"):
        with pytest.raises(BadValue, match="which north wall\\? north 1 is from 3 m, 4 m to 7 m, 4 m; north 2 is from 0 m, 6 m to 3 m, 6 m"):
            read_door(ELL, text, "metric")
    assert boxed(read_door(ELL, "north 2 0.5 1", "metric"))["door"] == (0.5, 1.5, 5.9, 6.0, None, 2.0)


def test_without_walls_a_door_waits_and_a_post_does_not():
    with pytest.raises(BadValue, match="the room first"):
        read_door(Site(), "south 1 1", "metric")
    assert boxed(read_post(Site(), "4.5, 3", "metric")) == {"post": (4.425, 4.575, 2.925, 3.075, None, None)}


def test_posts_windows_and_places_kept_clear():
    assert boxed(read_post(SITE, "4.5, 3 0.2 x 0.3", "metric")) == {"post": (4.4, 4.6, 2.85, 3.15, None, None)}
    assert boxed(read_free(SITE, "south 3 1.2", "metric")) == {"window": (3.0, 4.2, 0.0, 0.1, 0.9, 2.1)}
    assert boxed(read_free(SITE, "west 1 1 1.2 2", "metric")) == {"window": (0.0, 0.1, 1.0, 2.0, 1.2, 2.0)}
    stairs = read_free(SITE, "stairs 5, 2 1 x 2", "metric")
    assert (stairs.zones[0].name, boxed(stairs)) == ("stairs", {"keep clear": (4.5, 5.5, 1.0, 3.0, None, None)})
    assert boxed(read_free(SITE, "bench 3, 0.4 2 x 0.7 x 0.9", "metric")) == {"bench": (2.0, 4.0, 0.05, 0.75, None, 0.9)}


@pytest.mark.parametrize(
    ("read", "text", "reason"),
    [
        (read_post, "12, 3", "outside the walls"), (read_post, "4.5", "the middle of a post"), (read_post, "4, 3 0", "how thick|above 0|wanted"),
        (read_free, "stairs 12, 2 1 x 2", "outside the walls"), (read_free, "stairs 5 1 x 2", "the middle of the place"),
        (read_free, "south 3 9", "a window 9 m wide"), (read_free, "south 3 1 2 1", "wanted the sill below"),
        (read_free, "stairs 5, 2", "wanted a wall"),
    ],
)  # fmt: skip
def test_what_cannot_stand_there_is_refused_in_a_line(read, text, reason):
    with pytest.raises(BadValue, match=reason):
        read(SITE, text, "metric")


def test_every_box_has_a_name_of_its_own_and_a_line_that_will_not_do_is_told():
    lines = [("doors", "s 1 1"), ("doors", "s 3 1"), ("posts", "4, 3"), ("doors", "s 8.5 1"), ("free", "n 1 1"), ("free", "n 3 1")]
    names = [zone.name for zone in with_zones(SITE, lines, "metric").zones]
    assert names == ["door", "door open", "door 2", "door open 2", "post", "window", "window 2"]
    (wrong,) = [(question, str(found)) for question, found in placed(SITE, lines, "metric") if isinstance(found, BadValue)]
    assert wrong[0] == "doors" and "the south wall is 9 m long" in wrong[1]


def test_a_place_may_have_a_height_and_a_body_may_not_be_half_said():
    assert [value and value.text for value in read_place("2.4, 3.1", "metric")] == ["2.4 m", "3.1 m", None]
    assert read_place("2.4 3.1 0.9", "metric")[2].text == "0.9 m"
    body = read_body("1.1 x 0.6 x 0.9", "metric")
    assert [body.east.text, body.north.text, body.up.text] == ["1.1 m", "0.6 m", "0.9 m"]
    assert read_body(" ", "metric") == read_body("", "metric")
    for text in ("1.1", "1 x 2 x 3 x 4", "0 x 1"):
        with pytest.raises(BadValue):
            read_body(text, "metric")

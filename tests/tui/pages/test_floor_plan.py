"""The small plan of the interview, without a screen: what is drawn where, and what is marked in it."""

from __future__ import annotations

from engine.survey.answers import Answers, blank, finished, hung, with_machine, zones_said
from tests.tui.pages.test_interview import typed
from tui.draw.glyphs import ASCII
from tui.pages.interview.floor_plan import drawn, points_of
from tui.panes.plan.sight import fitted


def shop() -> Answers:
    answers = typed(typed(blank(), "room", "floor", "8 x 4"), "place", "place", "7,2,1")
    answers = typed(typed(answers, "doors", "door 1", "s 1 1"), "doors", "door 2", "n 5 1")
    return with_machine(with_machine(answers, "saw 2,3 1.6 x 0.8")[0], "lathe 5,1 1.2 x 0.4")[0]


def plan(answers: Answers, marked: frozenset[str] = frozenset()) -> list[list[tuple[str, str]]]:
    design = hung(answers).design if answers.lines("hanging") else finished(answers)
    (sight,) = fitted(("plan",), points_of(design), 34, 9, "metric")
    return [[(letter, role) for text, role in row for letter in text] for row in drawn(design, sight, ASCII, marked)]


def text(rows: list[list[tuple[str, str]]]) -> list[str]:
    return ["".join(letter for letter, _ in row) for row in rows]


def test_it_shows_walls_the_chosen_corner_machines_as_large_as_they_are_and_the_collector():
    rows = text(plan(shop()))
    assert [row.strip()[:1] for row in rows if row.strip()] == ["%"] * (len([row for row in rows if row.strip()]) - 1) + ["0"]
    drawing = "\n".join(rows)
    assert "table saw" in drawing and "lathe" in drawing and "[C]" in drawing
    widths = {row.count("M") for row in rows if "M" in row}
    assert max(widths) >= 4 and drawing.count("M") >= 6


def test_what_is_answered_is_marked():
    answers = shop()
    assert zones_said(answers, "doors", 1) == {"door 2", "door open 2"} and zones_said(answers, "doors", 2) == frozenset()
    for marked, letters in (
        (frozenset({"machine 0"}), {"M"}), (frozenset({"collector"}), {"[", "C", "]"}), (frozenset({"corner 2"}), {"3"}),
        (zones_said(answers, "doors", 1), {"_", "/"}),
    ):  # fmt: skip
        found = {letter for row in plan(answers, marked) for letter, role in row if "cursor" in role}
        assert letters <= found, marked
    assert not any("cursor" in role for row in plan(answers) for _, role in row)


def test_ducts_that_hang_are_drawn():
    answers = shop().with_lines("hanging", ("main 160, 0.5, elbow up, 0.8, elbow west, 3", "wye 100 south to lathe"))
    assert text(plan(answers)) != text(plan(shop())) and "".join(text(plan(answers))).count("-") > 3


def test_the_body_of_the_collector_lies_behind_its_inlet_away_from_the_way_it_faces():
    answers = typed(typed(blank(), "room", "floor", "8 x 4"), "place", "place", "4, 2")
    bodies = {}
    for faces in ("east", "west", "north", "south"):
        rows = text(plan(typed(typed(answers, "place", "faces", faces), "place", "size", "2 x 2 x 2")))
        at = next((row.index("[C]"), y) for y, row in enumerate(rows) if "[C]" in row)
        spots = [(x, y) for y, row in enumerate(rows) for x, letter in enumerate(row) if letter == "M"]
        bodies[faces] = (min(x for x, _ in spots) < at[0], max(x for x, _ in spots) > at[0] + 2, min(y for _, y in spots) - at[1])
        assert any(arrow in "".join(rows) for arrow in "<>^v")
    assert bodies["east"][:2] == (True, False) and bodies["west"][:2] == (False, True)
    assert bodies["south"][2] < 0 <= bodies["north"][2]

"""What bodies on the floor and boxes in the room reach into is told in a line."""

from __future__ import annotations

from engine.survey.answers import Answers, blank, finished, met_by_line, with_machine
from engine.survey.standing import met_by_collector, met_by_machine
from tests.tui.pages.test_interview import typed


def shop() -> Answers:
    return typed(typed(blank(), "room", "floor", "8 x 5"), "doors", "door 1", "s 1 1")


def test_a_machine_in_another_in_a_door_or_in_a_wall_is_told_as_it_is_typed():
    answers, told = with_machine(shop(), "saw 4, 3 1 x 1")
    assert "reaches" not in told
    answers, told = with_machine(answers, "planer 4.8, 3 1 x 1")
    assert told.startswith("its body reaches into table saw; planer: ")
    assert met_by_machine(finished(answers), 0) == "its body reaches into planer"
    assert "reaches" not in with_machine(answers, "lathe 5, 1 1 x 1")[1]
    assert "its body reaches into a wall, door, door open" in with_machine(answers, "lathe 1.5, 0.4 1 x 1")[1]


def test_a_place_in_the_way_of_a_door_is_told_and_no_door_is_in_its_own_way():
    answers = typed(shop(), "free", "place 1", "bench 2.2, 0.35 1.4 x 0.7 x 0.9")
    assert met_by_line(answers, "free", 0) == "reaches into door, door open"
    assert met_by_line(typed(shop(), "free", "place 1", "bench 3, 0.35 1.4 x 0.7 x 0.9"), "free", 0) == ""
    assert met_by_line(shop(), "doors", 0) == ""


def test_a_window_that_stands_higher_than_a_bench_is_not_in_its_way():
    answers = typed(shop(), "free", "place 1", "north 2.6 1.4 1.0 2.1 window")
    assert met_by_line(typed(answers, "free", "place 2", "bench 3, 4.6 1.4 x 0.7 x 0.9"), "free", 1) == ""


def test_the_collector_is_judged_once_it_is_known_which_way_it_faces():
    answers = typed(typed(shop(), "place", "place", "0.6, 3"), "place", "size", "0.9 x 0.9 x 2")
    assert met_by_collector(finished(answers)) == ""
    assert met_by_collector(finished(typed(answers, "place", "faces", "east"))) == "its body reaches into a wall"
    assert met_by_collector(finished(typed(answers, "place", "faces", "south"))) == ""

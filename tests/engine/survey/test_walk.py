"""Ducts that hang, walked along: pieces in a breath, branches, what is guessed, and what cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.checks.assess import assess
from engine.design import CurvePoint, Elbow, Gate, Hose, Straight
from engine.design.rules.consistency import mistakes
from engine.files import design_file
from engine.search.layouts.shop import why_no_ducts
from engine.space.geometry import space_of
from engine.survey.walk import Walk, walked
from engine.units import parse
from tests.engine.survey.test_machines import shop

MACHINES = ("planer 4, 5", "saw 6, 1", "lathe 8, 3")
LINES = (
    "main 160, 1.2, elbow east, 2",
    "wye 125 to planer",
    "1.5",
    "wye 100 south to saw: gate, 1, elbow down, 0.8, hose 0.6",
    "pipe 125, 2",
    "to lathe",
)


def walk(*lines: str) -> Walk:
    """A walk along ducts from a collector at 1 m east, 3 m north, that faces up."""
    design, _ = shop(*MACHINES)
    east, north, up = (parse(text, "length") for text in ("1 m", "3 m", "1 m"))
    curve = tuple(
        CurvePoint(flow=parse(flow, "flow"), pressure=parse(still, "pressure")) for flow, still in (("0 m3/h", "2400 Pa"), ("2600 m3/h", "0 Pa"))
    )
    collector = replace(design.collector, east=east, north=north, up=up, faces="up", curve=curve)
    return walked(replace(design, collector=collector), lines)


def wrong(*lines: str) -> str:
    """Why the last of some lines will not do."""
    found = walk(*lines)
    assert list(found.wrong) == [len(lines) - 1]
    return found.wrong[len(lines) - 1]


def test_a_walk_makes_the_runs_that_hang_and_searches_are_to_leave():
    found = walk(*LINES)
    assert found.wrong == {} and mistakes(found.design) == ()
    runs = {run.id: run for run in found.design.runs}
    assert list(runs) == ["main", "planer drop", "main 2", "table saw drop", "main 3"]
    assert all(run.kept and run.state == "hung" for run in runs.values())
    assert [run.size for run in runs.values()] == ["spiral/160", "spiral/125", "spiral/160", "spiral/100", "spiral/125"]
    assert [type(piece) for piece in runs["table saw drop"].pieces] == [Gate, Straight, Elbow, Straight, Hose]
    assert (runs["main 3"].joins, runs["main 3"].ends) == ("main 2", "lathe/hood")
    assert (runs["table saw drop"].joins, runs["table saw drop"].toward, runs["table saw drop"].ends) == ("main 2", "south", "table saw/below")
    assert all(result.balance for result in assess(found.design).sets)
    assert design_file.loads(design_file.dumps(found.design)) == found.design


def test_what_is_not_said_of_a_drop_is_guessed_from_where_things_stand_and_reaches():
    found = walk(*LINES)
    drop = next(run for run in found.design.runs if run.id == "planer drop")
    assert found.guessed == ("planer",) and drop.toward == "north" and "guessed" in found.told[1]
    assert found.design.notes == "Drops guessed from where things stand, to be measured: planer."
    gap = space_of(found.design).gaps["planer/hood"]
    assert gap.distance <= gap.hose
    nowhere = walked(replace(found.design, notes=None, collector=replace(found.design.collector, east=None)), LINES)
    assert nowhere.guessed == () and nowhere.design.notes is None
    assert next(run for run in nowhere.design.runs if run.id == "planer drop").pieces == ()


def test_no_layout_takes_the_place_of_what_hangs():
    hung = walk(*LINES).design
    assert "kept as they hang: main, planer drop, main 2 and 2 more" in why_no_ducts(hung)
    assert why_no_ducts(replace(hung, runs=tuple(replace(run, kept=False) for run in hung.runs))) is None


def test_a_branch_is_gone_on_with_behind_its_name():
    found = walk(*LINES[:2], "1", "planer: gate, 2, wye 100 to 2, 1", "main: 0.5")
    runs = {run.id: run for run in found.design.runs}
    assert found.wrong == {} and found.guessed == ("table saw",)
    assert runs["table saw drop"].joins == runs["planer drop 2"].joins == "planer drop"
    assert (runs["planer drop"].ends, runs["planer drop 2"].ends) == (None, "planer/hood")
    assert [piece.length.text for piece in runs["main 2"].pieces] == ["1 m", "0.5 m"]


def test_the_main_is_gone_back_to_by_its_name():
    runs = {run.id: run for run in walk("main 160, 2", "wye 125 to planer", "planer: 1", "main 140, 3").design.runs}
    assert (runs["main 2"].size, [piece.length.text for piece in runs["main 2"].pieces]) == (None, ["3 m"])
    assert runs["planer drop"].size == "spiral/125"


def test_two_wyes_at_once_have_a_run_between_them():
    runs = walk("2", "wye to planer", "wye to saw").design.runs
    assert [(run.id, run.joins) for run in runs] == [
        ("main", "collector"), ("planer drop", "main"), ("main 2", "main"), ("table saw drop", "main 2"),
    ]  # fmt: skip


def test_a_bore_that_is_not_in_store_is_a_pipe_of_its_own():
    found = walk("main 170 mm, 2", "pipe 153 mm, 1").design.runs
    assert [(run.size, run.bore and run.bore.text, run.material) for run in found] == [
        (None, "170 mm", "galvanised spiral"), (None, "153 mm", "galvanised spiral"),
    ]  # fmt: skip
    assert walk("main 160.5 mm, 2").design.runs[0].size == "spiral/160"


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("foo", "wanted a length"), ("elbow", "the way it turns to"), ("elbow 45 sideways", "wanted one of north"),
        ("elbow 400 west", "wanted"), ("-2", "wanted"),
        ("wye 125 to nobody", '"nobody": wanted a machine'), ("wye 125 to", "wanted wye"), ("wye blue to saw", "wanted wye, its size"),
        ("to 9", "wanted a machine"), ("attic: 2", "wanted one of main"), ("hose 0.6 999", "wanted a hose in store"), ("pipe x", "x"),
        ("wye to planer/chute", "there is no such port"),
    ],
)  # fmt: skip
def test_what_cannot_hang_there_is_told_in_a_line(line, reason):
    assert reason in wrong("main 160, 2", line)
    assert "\n" not in wrong("main 160, 2", line)


def test_a_line_that_will_not_do_leaves_the_others_as_they_are():
    found = walk("main 160, 2", "1, foo", "1")
    assert list(found.wrong) == [1] and [piece.length.text for piece in found.design.runs[0].pieces] == ["2 m", "1 m"]


def test_nothing_goes_on_behind_a_port_and_no_port_has_two_ducts():
    assert "ends at lathe/hood" in wrong("main 160, 2", "to lathe", "1")
    assert "a duct leads there already" in wrong("2", "wye to planer", "1", "wye to planer")

"""The interview without a screen: questions, what can be typed, what is kept, and that it ends in a draft."""

from __future__ import annotations

from random import Random

import pytest

from engine import catalog
from engine.checks.assess import assess
from engine.design.rules.consistency import mistakes
from engine.search.layouts.shop import why_no_ducts
from engine.search.layouts.shop_defaults import with_gate_sets
from engine.survey import answers as interview
from engine.survey.answers import Answers, blank, with_machines
from engine.survey.kept import dumps, loads
from tui.pages.interview.questions import questions
from tui.pages.interview.sheets.all_sheets import drafted, sheet
from tui.pages.interview.sheets.collector import pasted_points
from tui.pages.interview.sheets.machines import parse_set, pasted_machines, pasted_sets
from tui.pages.interview.sheets.room import pasted_lines
from tui.work.fields.values import BadValue

KINDS = catalog.machine_kinds()
FEW = 2  # machines that ducts are drafted to in no time; tests of layouts have the others
CURVE = "0 2400\n1000 m3/h 2150 Pa\n2000\t1,2 kPa\n2600; 0 Pa"


def typed(answers: Answers, key: str, label: str, text: str) -> Answers:
    """The answers after typing into the row of this label."""
    (row,) = (row for row in sheet(answers, key).rows if row.label == label)
    return row.line.read(text)[0]


def tried(answers: Answers, key: str, label: str, text: str) -> Answers:
    """The answers after typing into the row of this label; as they were where that is refused, or where there is no such row any more."""
    try:
        return typed(answers, key, label, text) if any(row.label == label for row in sheet(answers, key).rows) else answers
    except BadValue:
        return answers


def picked(answers: Answers, key: str, label: str) -> Answers:
    """The answers after choosing the row of this label."""
    (row,) = (row for row in sheet(answers, key).rows if row.label.strip() == label)
    return row.pick()


def complete() -> Answers:
    answers = with_machines(with_machines(blank(), KINDS[0], 2), KINDS[6], 1)
    return typed(pasted_points(answers, CURVE)[0], "inlet", "inlet", "160 mm")


def shown(answers: Answers, key: str) -> tuple[str, str]:
    return next((question.answer, question.state) for question in questions(answers) if question.key == key)


def random_answers(rng: Random) -> Answers:
    """Answers to some of the questions, as somebody might leave them."""
    answers = blank()
    steps = [
        lambda a: picked(a, "units", rng.choice(["metric", "imperial"])),
        lambda a: typed(a, "name", "name", rng.choice(["Gull Lane", "[b]x", 'a "b" é'])),
        lambda a: picked(a, "conveyed", rng.choice(catalog.conveyed_materials())),
        lambda a: with_machines(a, rng.choice([*KINDS, None]), rng.randint(1, 4)),
        lambda a: with_machines(a, rng.choice(KINDS), 1),
        lambda a: typed(a, "machine 0", "place", rng.choice(["2, 1", "6ft 6in, 2 m", "1,5 2,5", ""])) if a.shop.machines else a,
        lambda a: typed(a, "room", "floor", rng.choice(["9 x 7", "30 by 24", ""])),
        lambda a: pasted_lines(a, "doors", rng.choice(["south 1 3 ft", "east 0.5 2 overhead\nwall 3 1 1"]))[0],
        lambda a: pasted_lines(a, "posts", "3, 2\n1.5, 2 0.2 x 0.3")[0],
        lambda a: pasted_lines(a, "free", "north 1 1\nstairs 2, 2 1 x 1")[0],
        lambda a: pasted_machines(a, rng.choice(["planer 2.4, 1.1", "= 1, 2", "fan 1, 1 125 mm 600 m3/h", "saw"]))[0],
        lambda a: pasted_points(a, rng.choice([CURVE, "0 2000", "nothing"]))[0],
        lambda a: tried(a, "curve", "free air", "1500 m3/h"),
        lambda a: tried(a, "curve", "max suction", "2 kPa"),
        lambda a: typed(a, "inlet", "inlet", rng.choice(["6in", "160 mm"])),
        lambda a: typed(a, "place", "place", "1, 3 ft"),
        lambda a: typed(a, "place", "faces", "w"),
        lambda a: picked(a, "store", rng.choice([family.name for family in catalog.pipe_families()])),
        lambda a: pasted_sets(a, "1 + 2\n2")[0],
        lambda a: picked(a, "together", "each machine alone"),
        lambda a: a.with_given(rng.choice([question.key for question in questions(blank())])),
    ]
    for step in rng.choices(steps, k=rng.randint(0, 24)):
        answers = step(answers)
    return answers


@pytest.mark.parametrize("seed", range(80))
def test_answers_come_back_from_their_file_and_can_be_shown(seed):
    answers = random_answers(Random(seed))
    assert loads(dumps(answers)) == answers
    for question in questions(answers):
        made = sheet(answers, question.key)
        assert made.rows and 0 <= made.start < len(made.rows)
        assert question.answer or question.state == "given"


@pytest.mark.parametrize("seed", range(80))
def test_what_is_not_wanting_ends_in_a_sound_draft(seed):
    answers = random_answers(Random(1000 + seed))
    if interview.wanted(answers):
        assert shown(answers, "draft")[1] == "wanted"
        return
    shop = interview.finished(answers)
    assert mistakes(shop) == () and why_no_ducts(shop) is None
    if len(shop.machines) <= FEW:
        design = drafted(answers)
        assert mistakes(design) == () and all(result.balance for result in assess(design).sets)


def test_the_first_draft_has_every_answer_in_it():
    answers = typed(complete(), "name", "name", "Gull Lane")
    answers = picked(answers, "conveyed", "fine dust")
    answers = typed(answers, "machine 1", "name", "thicknesser")
    answers = typed(typed(answers, "machine 0", "place", "2 m, 3,1 m"), "machine 0", "up", "3ft")
    answers = pasted_sets(answers, "1 + thick")[0]
    answers = typed(picked(answers, "store", "spiral duct, EN 1506"), "stock 0", "sizes", "63 80 100 125 160 180 200 250 315")
    design = drafted(answers)
    planer, _, saw = design.machines
    assert (design.name, design.conveying.material, design.collector.inlet.text) == ("Gull Lane", "fine dust", "160 mm")
    assert [planer.east.text, planer.north.text, planer.up.text] == ["2 m", "3,1 m", "3ft"]
    assert [port.needs.text for port in saw.ports] == ["707 m3/h", "113 m3/h"]
    assert [made.open for made in design.gate_sets] == [(planer.id,), ("thicknesser",), (saw.id,), (planer.id, "thicknesser")]
    assert "spiral/150" not in {run.size for run in design.runs}
    assert [point.pressure.text for point in design.collector.curve] == ["2400 Pa", "2150 Pa", "1,2 kPa", "0 Pa"]
    assert "First draft" in design.notes
    shop = interview.finished(answers)
    for part in ("conveying", "site", "gate_sets", "collector_choices", "currency", "store"):
        assert getattr(design, part) == getattr(shop, part)
    assert design.stock[: len(shop.stock)] == shop.stock and design.machines[0] == shop.machines[0]


def test_what_is_wanted_is_said_where_it_is_asked_for():
    answers = blank()
    assert set(interview.wanted(answers)) == {"machines", "curve", "inlet", "draft"}
    assert {row.leads for row in sheet(answers, "draft").rows} == {"machines", "curve", "inlet"}
    answers = pasted_points(answers, "0 2400")[0]
    assert shown(answers, "curve") == ("one point more", "wanted")
    answers = typed(blank(), "curve", "free air", "1500")
    assert shown(answers, "curve") == ("largest suction", "wanted")
    assert shown(typed(answers, "curve", "max suction", "2 kPa"), "curve") == ("a guess from 1500 m3/h", "given")
    assert set(interview.wanted(complete())) == set()


def test_free_air_in_place_of_a_curve_warns_that_every_flow_is_a_guess():
    unknown = sheet(typed(blank(), "curve", "free air", "1500 m3/h"), "curve").warning
    assert "every flow is a guess" in unknown and "2000 Pa" in unknown
    answers = typed(blank(), "curve", "free air", "1500 m3/h")
    told = sheet(typed(answers, "curve", "max suction", "1900 Pa"), "curve").warning
    assert "every flow is a guess" in told and "Source:" in told
    assert not sheet(pasted_points(answers, CURVE)[0], "curve").warning


def test_every_kind_of_machine_shows_its_source_and_uncertain_ones_say_so():
    for kind in KINDS:
        answers = with_machines(blank(), kind, 1)
        row = sheet(answers, "machines").rows[0]
        assert kind.provenance in row.about and ("Uncertain" in row.about) == kind.uncertain
        assert ("Uncertain" in sheet(answers, "machine 0").warning) == kind.uncertain
    assert "own figures" in sheet(with_machines(blank(), None, 1), "machines").rows[0].about


def test_machines_have_names_of_their_own_and_no_more_than_there_may_be():
    answers = with_machines(blank(), KINDS[0], 999)
    names = [machine.id for machine in answers.shop.machines]
    assert len(names) == len(set(names)) == interview.MOST_MACHINES
    with pytest.raises(BadValue, match="of its own"):
        typed(answers, "machine 1", "name", names[0])
    with pytest.raises(BadValue, match="without"):
        typed(answers, "machine 1", "name", "a/b")


def test_sets_follow_names_and_forget_machines_that_go():
    answers = pasted_sets(complete(), "1 + 3\n2 + 3")[0]
    answers = typed(answers, "machine 2", "name", "saw")
    assert [made.name for made in answers.shop.gate_sets] == ["planer or jointer + saw", "planer or jointer 2 + saw"]
    gone = interview.without_machine(answers, 2)
    assert [made.open for made in gone.shop.gate_sets] == [("planer or jointer",), ("planer or jointer 2",)]
    assert {made.open for made in interview.finished(gone).gate_sets} == {("planer or jointer",), ("planer or jointer 2",)}


@pytest.mark.parametrize("text", ["", "nobody", "1 + 1", "9", "planer or", "9" * 5000])
def test_what_names_no_machines_is_refused(text):
    with pytest.raises(BadValue):
        parse_set(text, complete())


@pytest.mark.parametrize("text", ["1 + 3", "planer or jointer, table", "3&1"])
def test_machines_that_work_together_may_be_numbered_or_shortened(text):
    assert set(parse_set(text, complete()).open) == {"planer or jointer", "table saw"}


def test_without_each_alone_only_the_sets_typed_are_there():
    answers = picked(pasted_sets(complete(), "1 + 2")[0], "together", "each machine alone")
    assert [made.name for made in interview.finished(answers).gate_sets] == ["planer or jointer + planer or jointer 2"]
    none = with_gate_sets(interview.finished(picked(complete(), "together", "each machine alone")))
    assert [len(made.open) for made in none.gate_sets] == [1, 1, 1], "as a draft does where no set is said"


@pytest.mark.parametrize("text", ["", "interview = 1", "x = [", "interview = 2\nat = ''\ngiven = []", dumps(complete()).replace("160 mm", "160")])
def test_a_file_that_holds_no_answers_is_none(text):
    assert loads(text) is None


# ---- files


def test_a_point_beside_free_air_and_largest_suction_loses_none_of_the_three():
    answers = typed(typed(blank(), "curve", "free air", "2000 m3/h"), "curve", "max suction", "1900 Pa")
    curve = typed(answers, "curve", "point 1", "1300 1260").shop.collector.curve
    assert [(point.flow.text, point.pressure.text) for point in curve] == [
        ("0 m3/h", "1900 Pa"), ("1300 m3/h", "1260 Pa"), ("2000 m3/h", "0 Pa"),
    ]  # fmt: skip


def test_free_air_and_largest_suction_beside_points_are_points_too_and_all_are_kept():
    answers = typed(pasted_points(blank(), "1000 2150")[0], "curve", "free air", "2600")
    curve = typed(answers, "curve", "max suction", "2,4 kPa").shop.collector.curve
    assert [(point.flow.text, point.pressure.text) for point in curve] == [
        ("0 m3/h", "2,4 kPa"), ("1000 m3/h", "2150 Pa"), ("2600 m3/h", "0 Pa"),
    ]  # fmt: skip
    labels = {row.label for row in sheet(complete(), "curve").rows}
    assert {"free air", "max suction"}.isdisjoint(labels), "points that reach both ends tell them already"

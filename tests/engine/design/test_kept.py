"""What is kept of the parts of a design is what is computed anew, over random edits and back again."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine import load
from engine.checks.assess import assess
from engine.design import OwnLimit, Run, Straight, children_of, ports_of, stock_sizes, system
from engine.design.kept import ROWS, age, forget, kept
from engine.design.limits import breaches
from engine.design.meaning import sections_of
from engine.design.places import ports_at, runs_at
from engine.design.rules.consistency import mistakes
from engine.files.design_file import dumps, too_large
from engine.units import make
from tests import SAVED_DESIGNS


def edited(design, random):
    """One run, port, size, place or limit made another, or two runs in another order; some designs break rules by it."""
    match random.randrange(9):
        case 0:
            at = random.randrange(len(design.machines))
            port, *others = design.machines[at].ports
            machine = replace(design.machines[at], ports=(replace(port, needs=make(random.uniform(0.05, 0.4), "flow", "metric")), *others))
            return replace(design, machines=(*design.machines[:at], machine, *design.machines[at + 1 :]))
        case 1:
            stock, *more = design.stock
            sizes = tuple(replace(size, bore=make(size.bore.si * random.uniform(0.9, 1.1), "bore", "metric")) for size in stock.sizes)
            return replace(design, stock=(replace(stock, sizes=sizes), *more))
        case 2:
            return replace(design, display=random.choice(["metric", "imperial"]))
        case 3:
            at = random.randrange(len(design.machines))
            machine = replace(design.machines[at], east=make(random.uniform(0.5, 5.0), "length", "metric"), moves=random.random() < 0.5)
            return replace(design, machines=(*design.machines[:at], machine, *design.machines[at + 1 :]))
        case 4:
            own = OwnLimit(of="out-of-reach.height", is_=f"{random.uniform(1.0, 3.0):.2f} m", reason="as tall as we are")
            return replace(
                design, limits=random.choice([(), (own,)]), site=replace(design.site, height=make(random.uniform(2.0, 4.0), "length", "metric"))
            )
        case 5:
            runs = list(design.runs)
            one, other = random.sample(range(len(runs)), 2)
            runs[one], runs[other] = runs[other], runs[one]
            return replace(design, runs=tuple(runs))
    at = random.randrange(len(design.runs))
    return replace(design, runs=(*design.runs[:at], edited_run(design.runs[at], random), *design.runs[at + 1 :]))


def edited_run(run: Run, random) -> Run:
    pieces = list(run.pieces)
    if pieces and random.random() < 0.3:
        del pieces[random.randrange(len(pieces))]
    else:
        pieces.insert(random.randrange(len(pieces) + 1), Straight(length=make(random.choice([-1.0, 0.4, 1.7, 900000.0]), "length", "metric")))
    return replace(run, pieces=tuple(pieces))


def told(design):
    """All that is made with the help of what is kept."""
    sizes = stock_sizes(design)
    return (
        dumps(design), too_large(design), list(breaches(design)), mistakes(design), dict(children_of(design)), dict(sizes), dict(ports_of(design)),
        [sections_of(run, sizes) for run in design.runs], dict(runs_at(design)), dict(ports_at(design)),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_what_is_kept_equals_what_is_computed_anew(seed):
    random, designs = Random(seed), [load(SAVED_DESIGNS / "boat_shed.toml")]
    for _ in range(15):
        designs.append(edited(random.choice(designs), random))
    known = [told(design) for design in designs]
    for design, found in zip(designs, known, strict=True):
        forget()
        assert told(design) == found


def test_findings_after_edits_equal_those_found_anew():
    """And so do the ways in space that they rest on, what is told of each gate set, and how the findings fold."""
    random, design = Random(5), load(SAVED_DESIGNS / "boat_shed.toml")
    found = []
    before = assess(design)
    while len(found) < 12:
        after = edited(design, random)
        if not mistakes(after):
            design, before = after, assess(after, before)
            found.append(before)
    for assessment in found:
        forget()
        fresh = assess(assessment.design)
        assert fresh.findings == assessment.findings and fresh.of_sets == assessment.of_sets
        assert [one.text for one in fresh.conditions] == [one.text for one in assessment.conditions]
        assert fresh.look.space.gaps == assessment.look.space.gaps
        assert [way.stretches for way in fresh.look.space.ways.values()] == [way.stretches for way in assessment.look.space.ways.values()]


def test_what_is_found_of_the_shop_alone_stays_while_a_run_changes_and_is_found_anew_in_other_units():
    design = load(SAVED_DESIGNS / "signal_box.toml")
    before = assess(design)
    (found,) = (one for one in before.findings if one.code == "hand-tool-port")
    run = replace(design.runs[0], pieces=(*design.runs[0].pieces, Straight(length=make(1.0, "length", "metric"))))
    longer = assess(replace(design, runs=(run, *design.runs[1:])), before)
    assert longer.findings != before.findings and any(one is found for one in longer.findings)
    other = assess(replace(design, display="imperial" if system(design) == "metric" else "metric"), longer)
    assert [one.message != found.message for one in other.findings if one.code == found.code] == [True]


def test_the_same_objects_are_asked_of_once_and_equal_others_again():
    asked = []

    @kept(1)
    def length(part, unit):
        asked.append(part)
        return len(part), unit

    one, other = ["a"], ["a"]
    assert length(one, "m") == length(one, "".join(["m"])) == length(other, "m") == (1, "m")
    assert len(asked) == 2 and asked[0] is one and asked[1] is other
    length(one, "m")
    assert len(asked) == 2
    for unit in ("ft", "in", "mm", "m"):  # three others, and the first is dropped
        length(one, unit)
    assert len(asked) == 6


def test_what_is_declared_a_text_or_a_number_is_told_by_its_value_and_all_else_by_its_object():
    asked = []

    @kept(ROWS)
    def told(name: str, bore: float | None, parts: tuple[str, ...], *lengths: float):
        asked.append((name, bore, parts, lengths))
        return asked[-1]

    parts, others = ("pipe", *"a"), ("pipe", *"a")
    for name, bore, of, lengths in [
        ("main", 0.1, parts, (1.5, 2.5)),
        ("drop", 0.1, parts, ()),
        ("main", None, parts, (1.5,)),
        ("main", 0.1, others, ()),
    ]:
        for _ in range(2):
            name_again, lengths_again = "".join(name), [float(str(length)) for length in lengths]
            assert told(name_again, bore and float(str(bore)), of, *lengths_again) == (name, bore, of, lengths)
    assert len(asked) == 4


def test_an_answer_holds_what_it_was_asked_of():
    @kept(ROWS)
    def first(part):
        return part[0]

    assert [first([number]) for number in range(500)] == list(range(500))


def test_what_nobody_asks_for_any_more_is_forgotten_and_what_is_asked_for_stays():
    computed = []

    @kept(ROWS)
    def told_of(name):
        computed.append(name)
        return name.upper()

    for name in ("gone", "stays"):
        told_of(name)
    for _ in range(3):
        age()
        told_of("stays")
    assert computed == ["gone", "stays"]
    told_of("gone")
    assert computed == ["gone", "stays", "gone"]

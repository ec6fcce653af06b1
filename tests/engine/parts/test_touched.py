"""Work that is done and changes: what is still true of it, what is wanted anew, what is left over. The shop is invented."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine.design import STATES, Design, Gate, stock_sizes
from engine.design.meaning import stays, work_in_words, work_on
from engine.design.places import COLLECTOR, LEFT_OVER, PieceAt, RunAt, StockAt
from engine.design.rules.consistency import mistakes
from engine.edits import EditError, add_branch, delete, duplicate, insert, set_field
from engine.edits.resizing import with_size
from engine.files.design_file import dumps, loads
from engine.parts.cut_list import cut_list
from engine.parts.price import price_of
from engine.parts.takeoff import take_off
from engine.parts.touched import touched
from engine.units import parse
from tests.shops.parts_shop import TEXT, canoe_loft
from tests.shops.random_shops import random_design

KERF = 0.003


def hung(**states: str) -> Design:
    """The shop with its runs so far, by the first word of their names."""
    design = canoe_loft(TEXT)
    return replace(design, runs=tuple(replace(run, state=states.get(run.id.partition(" ")[0])) for run in design.runs))


def works(design: Design) -> dict[str, str]:
    return {run.id: work_in_words(run) for run in design.runs}


def longer(design: Design, by: str = "2.3 m", place: PieceAt | None = None) -> Design:
    place = place or PieceAt(0, 2)
    return set_field(design, place, "length", parse(by, "length"))


def test_a_run_in_another_size_is_planned_again_and_what_hung_is_left_over():
    before = hung(main="tested", saw="hung")
    found = touched(before, with_size(before, ["main"], "spiral/100"))
    assert work_on(found.design.runs[0]) == "planned" and works(found.design)["main"] == "planned"
    # 4 m and 2 m with what slips in, the elbow, the wye; at 10 a metre, 15 for the elbow, 30 for the wye.
    left = {(one.part, one.size, one.length and one.length.text) for one in found.design.left_over if one.of == "main"}
    assert left >= {("straight", "spiral/160", "4 m"), ("straight", "spiral/160", "2 m"), ("elbow 90 deg", "spiral/160", None)}
    assert any(part == "wye 45 deg, 160 x 160 x 100 mm" for part, *_ in left)
    assert found.spent == pytest.approx(40 + 20 + 15 + 30) and "main (tested)" in found.in_words and "105.00 left over" in found.in_words
    # Money that is spent is not saved: what is bought anew comes on top.
    anew = price_of(with_size(before, ["main"], "spiral/100")).total
    assert price_of(found.design).total == pytest.approx(anew + found.spent) and found.buy > 0


def test_what_is_wanted_anew_is_on_the_lists_again():
    before = hung(main="tested", saw="hung", lathe="hung")
    assert not [item for item in take_off(before, kerf=KERF, to_buy=True).items if item.kind == "straight"]
    after = touched(before, longer(before)).design
    [pipe] = [item for item in take_off(after, kerf=KERF, to_buy=True).items if item.kind == "straight"]
    assert (pipe.count, pipe.length) == (1, pytest.approx(2.3))
    [[cut]] = [one.cuts for cutting in cut_list(after, kerf=KERF, before="cut").cuttings.values() for one in cutting.sticks]
    assert cut.name == "main / 2" and cut.length == pytest.approx(2.3)


def test_a_longer_straight_takes_down_what_moves_and_nothing_else():
    before = hung(main="tested", saw="hung")
    found = touched(before, longer(before))
    main, saw, lathe = found.design.runs
    assert [work_on(main, piece) for piece in main.pieces] == ["hung", "hung", "planned"]
    # The wye at its end moves: it is there, and hangs no more. So does the whole drop.
    assert work_on(main) == "cut" and {work_on(saw, piece) for piece in saw.pieces} == {"cut"} and work_on(lathe) == "planned"
    assert found.elsewhere == ("main (tested)", "saw drop (hung)") and "to be hung elsewhere" in found.in_words
    inner = touched(before, longer(before, "3.8 m", PieceAt(0, 0))).design
    assert [work_on(inner.runs[0], piece) for piece in inner.runs[0].pieces] == ["planned", "cut", "cut"]


def test_a_collector_that_moves_takes_down_what_hangs_there():
    before = hung(main="hung", saw="bought")
    found = touched(before, set_field(before, COLLECTOR, "up", parse("2.4 m", "length")))
    assert works(found.design) == {"main": "cut", "saw drop": "bought", "lathe drop": "planned"} and not found.design.left_over


def test_a_branch_into_a_run_that_hangs_leaves_the_rest_of_it_hanging():
    before = hung(main="hung")
    after, _ = add_branch(before, PieceAt(0, 0))
    found = touched(before, after)
    assert not found.design.left_over and work_in_words(found.design.runs[0]) == "hung in part"
    outer = next(run for run in found.design.runs if run.joins == "main" and run.as_ is None)
    assert [work_on(outer, piece) for piece in outer.pieces] == ["hung", "hung"]
    wyes = [item for item in take_off(found.design, kerf=KERF, to_buy=True).items if item.kind == "wye"]
    assert len(wyes) == 1 and wyes[0].bores == (0.16, 0.16, 0.16)


def test_what_is_deleted_is_left_over():
    before = hung(main="hung", saw="hung")
    found = touched(before, delete(before, RunAt(1)))
    assert {one.part for one in found.design.left_over if one.of == "saw drop"} >= {"gate", "straight", "elbow 45 deg", "hose"}
    assert "saw drop (hung)" in found.in_words


def test_put_back_it_is_taken_from_what_is_left_over():
    before = hung(saw="bought")
    other = touched(before, longer(before, "1.1 m", PieceAt(1, 3))).design
    assert [one.length.text for one in other.left_over] == ["1.05 m"]  # 1 m, and 50 mm under the hose
    again = touched(other, longer(other, "1 m", PieceAt(1, 3)))
    assert not again.design.left_over and work_on(again.design.runs[1], again.design.runs[1].pieces[3]) == "cut" and not again.in_words


@pytest.mark.parametrize(
    "edit",
    [
        lambda design: set_field(design, RunAt(0), "id", "trunk"),
        lambda design: set_field(design, StockAt(0), "id", "pipe"),
        lambda design: set_field(design, PieceAt(1, 0), "name", "slide"),
        lambda design: replace(design, display="imperial"),
        lambda design: insert(design, LEFT_OVER.row(0), touched(design, delete(design, RunAt(1))).design.left_over[0]),
        lambda design: with_size(design, ["lathe drop"], "spiral/160"),
    ],
)  # fmt: skip
def test_what_changes_no_work_changes_no_mark(edit):
    before = hung(main="tested", saw="hung")
    after = edit(before)
    assert touched(before, after).design == after and not touched(before, after).in_words


@pytest.mark.parametrize(
    "edit",
    [
        longer,
        lambda design: with_size(design, ["main", "saw drop"], "spiral/100"),
        lambda design: add_branch(design, PieceAt(0, 0))[0],
        lambda design: delete(design, RunAt(1)),
        lambda design: insert(design, PieceAt(0, 1), Gate(name="main gate")),
    ],
)  # fmt: skip
def test_it_is_true_of_its_own_outcome_and_of_the_file(edit):
    before = hung(main="tested", saw="hung", lathe="cut")
    once = touched(before, edit(before))
    assert touched(before, once.design).design == once.design and touched(once.design, once.design).design == once.design
    assert loads(dumps(once.design)) == once.design


def test_a_run_stays_once_any_of_it_is_bought_unless_it_says_otherwise():
    main, saw, lathe = hung(main="bought").runs
    assert stays(main) and not stays(saw) and not stays(replace(main, kept=False)) and stays(replace(lathe, kept=True))
    in_hand = replace(saw, pieces=(replace(saw.pieces[0], state="bought"), *saw.pieces[1:]))
    assert stays(in_hand) and work_in_words(in_hand) == "bought in part"


@pytest.mark.parametrize("seed", range(8))
def test_after_any_edits_of_any_shop_it_is_valid_and_true_of_itself(seed):
    rng = Random(seed)
    design = random_design(rng, plausible=seed % 2 == 0)
    runs = (replace(run, state=rng.choice([None, *STATES])) for run in design.runs)
    design = replace(design, runs=tuple(runs))
    for _ in range(4):
        at_run = RunAt(rng.randrange(len(design.runs)))
        edits = [
            lambda at_run=at_run: with_size(design, [design.runs[at_run.run].id], rng.choice([*stock_sizes(design)] or [None])),
            lambda at_run=at_run: add_branch(design, at_run)[0],
            lambda at_run=at_run: duplicate(design, at_run)[0],
            lambda at_run=at_run: delete(design, at_run) if at_run.run else design,
        ]  # fmt: skip
        try:
            after = rng.choice(edits if stock_sizes(design) else edits[1:])()
        except EditError:
            continue
        if mistakes(after):
            continue
        found = touched(design, after).design
        assert not mistakes(found) and touched(design, found).design == found
        design = found

"""One drop for a machine of two ports that has two. Designs are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.checks.assess import assess
from engine.design import Elbow, Gate, Hose
from engine.design.rules.consistency import mistakes
from engine.edits import EditError
from engine.search.proposals import standing
from engine.search.remedies import changes, remedies, trial
from tests.engine.search.remedies.harm import harmless
from tests.shops.small_shops import collector, machine, q, run, shop, si


def two_drops():
    """A saw with a drop and a gate to each of its ports, side by side on one main."""
    saw = machine("saw")
    saw = replace(saw, ports=(saw.ports[0], replace(saw.ports[0], id="guard", needs=si(0.06))))
    below, guard = ((Gate(name=f"{name} gate"), 2.0, Elbow(angle=q("90 deg", "angle")), Hose(length=q("0.8 m"))) for name in ("below", "guard"))
    return shop(
        run("main", "collector", 160, 3.0), run("below drop", "main", 125, *below, as_="branch", ends="saw/hood"),
        run("main 2", "main", 160, 0.4), run("guard drop", "main 2", 80, *guard, as_="branch", ends="saw/guard"),
        machines=[saw], sets=[("saw",)], collector=collector(),
    )  # fmt: skip


def test_a_machine_of_two_ports_is_offered_one_drop_and_one_gate():
    before = assess(two_drops())
    offered = [one for one in changes(before) if "one drop and one gate" in one.title]
    assert {one.title.split(", ")[1] for one in offered} >= {"below drop", "guard drop"}
    made = offered[0].edit(before.design)
    assert mistakes(made) == ()
    gates = [piece for one in made.runs for piece in one.pieces if isinstance(piece, Gate)]
    assert len(gates) == 1 and {one.ends for one in made.runs if one.ends} == {"saw/hood", "saw/guard"}
    ends = {one.ends: one for one in made.runs if one.ends}
    assert {one.joins for one in ends.values()} == {"below drop"} and ends["saw/guard"].as_ == "branch"
    assert all(isinstance(one.pieces[-1], Hose) for one in ends.values())
    after = assess(made)
    assert after.sets[0].balance and set(after.sets[0].balance.ports) == {"saw/hood", "saw/guard"}
    with pytest.raises(EditError, match="are not what they were"):
        offered[0].edit(made)


def test_a_machine_whose_ports_share_a_gate_is_not_offered_another():
    before = assess(two_drops())
    made = next(one for one in changes(before) if "one drop and one gate" in one.title).edit(before.design)
    assert not [one for one in changes(assess(made)) if "one drop and one gate" in one.title]


def test_one_drop_for_two_ports_is_offered_only_where_it_makes_nothing_worse():
    before = assess(two_drops())
    *_, last = remedies(before.design, before, pairs=False)
    for one in last.proposals:
        harmless(before, one)
    titles = {one.title for one in last.proposals}
    assert "saw: one drop and one gate, below drop in pipe/160, for saw/hood and saw/guard" in titles
    for one in changes(before):
        if "one drop and one gate" in one.title:
            made = trial((one,), before, standing(before))
            assert (one.title in titles) <= made.effect.helps

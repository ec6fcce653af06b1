"""What is foreseen of trials solved together: nobody would offer those that are ruled out, and the others are assessed as each alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine import load
from engine.air.one.ducts import area
from engine.air.one.network import compile_tree
from engine.checks.assess import assess
from engine.design import Accepted, Leakage
from engine.design.rules.consistency import mistakes
from engine.search.proposals import standing
from engine.search.remedies import changes, trial
from engine.search.remedies.airs import Made, airs_of, is_alike
from engine.search.remedies.effect import effect_of
from engine.search.remedies.foreseen import Foresight
from tests import SAVED_DESIGNS
from tests.engine.search.remedies.test_random_shops import random_design
from tests.shops.small_shops import si


def leaking_gates():
    """Gates that leave a gap, and a fault that is accepted."""
    design = replace(random_design(4), leakage=Leakage(tightness="A", shut_gate=si(0.001)))
    fault = next(one for one in assess(design).findings if one.severity == "fault")
    return replace(design, accepted=(Accepted(finding=fault.code, at=fault.where, reason="as it is"),))


# A port of the second is blown back.
SHOPS = {"signal box": lambda: load(SAVED_DESIGNS / "signal_box.toml"), "blown back": lambda: random_design(46), "leaking gates": leaking_gates}


@pytest.fixture(scope="module", params=SHOPS)
def tried(request):
    """A shop assessed, each single change with its design and network, and what is foreseen of it."""
    before = assess(SHOPS[request.param]())
    assert not mistakes(before.design)
    was = standing(before)
    wanted = [(one, made.design if (made := trial((one,), before, was)) else None) for one in list(changes(before))[::3]]
    trials = [(one, Made(design, compile_tree(design, before=before.tree))) for one, design in wanted if design]
    after = list(Foresight(before, was).assessed([made for _, made in trials]))
    return before, [(one.title, made, found) for (one, made), found in zip(trials, after, strict=True)]


def test_what_is_ruled_out_neither_helps_nor_half_helps(tried):
    before, trials = tried
    was = standing(before)
    for title, made, found in trials:
        if found is None:
            effect = effect_of(assess(made.design, before), before, was)
            assert not effect.helps and not effect.half_helps, title


def test_what_is_not_ruled_out_is_assessed_as_it_is_alone(tried):
    before, trials = tried
    for title, made, found in trials:
        if found is not None:
            alone = assess(made.design, before)
            assert (found.findings, found.of_sets) == (alone.findings, alone.of_sets), title


def test_runs_and_ports_have_the_air_that_each_has_alone(tried):
    """The same speeds and shares as of a design solved by itself from nothing, to a millionth."""
    before, trials = tried
    some = [made for _, made, _ in trials if is_alike(made, before)][:8]
    airs = airs_of(some, before)
    for at, made in enumerate(some):
        alone = assess(made.design)
        for which, result in enumerate(alone.sets):
            if result.balance is None:
                assert not airs.balanced[0, at, which]
                continue
            carried = {run: flow / area(alone.look.widest[run].bore) for run, flow in result.balance.carried.items()}
            speeds = [carried.get(duct.run, np.nan) for duct in alone.tree.runs]
            assert airs.slowest[:, at, which] == pytest.approx(speeds, rel=1e-6, nan_ok=True)
            blown = [port for port, held in zip(alone.tree.leaf_of, airs.blown[:, at, which], strict=True) if held]
            assert blown == list(result.balance.blown_back)
            share = alone.neediest(result)
            least = np.fmin.reduce(airs.share[:, at, which], initial=np.inf)
            assert least == pytest.approx(share[1] if share else np.inf, rel=1e-6)


def test_most_trials_of_a_demo_are_never_assessed_whole():
    before = assess(load(SAVED_DESIGNS / "signal_box_mended.toml"))
    was = standing(before)
    designs = [made.design for one in changes(before) if (made := trial((one,), before, was))]
    after = list(Foresight(before, was).assessed([Made(design, compile_tree(design, before=before.tree)) for design in designs]))
    assert sum(found is None for found in after) > 0.8 * len(after)

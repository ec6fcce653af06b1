"""A second collector for some of the machines."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.checks.assess import assess
from engine.design.rules.consistency import mistakes
from engine.files.design_file import load
from engine.search.collectors import duties, splits
from engine.search.proposals import standing
from tests import SAVED_DESIGNS


@pytest.mark.parametrize("name", ["boat_shed", "signal_box"])
def test_what_is_left_is_better_off_and_every_machine_is_somewhere(name):
    design = load(SAVED_DESIGNS / f"{name}.toml")
    before = standing(assess(design)).rank
    found = splits(design)
    assert found
    for one in found:
        assert not mistakes(one.rest)
        left = {machine.id for machine in one.rest.machines}
        assert left.isdisjoint(one.machines) and left | set(one.machines) == {machine.id for machine in design.machines}
        assert standing(assess(one.rest)).rank.conditions < before.conditions
        assert one.lacks == pytest.approx(max(duty.lacks for duty in duties(one.rest)))


def test_the_second_collectors_duty_is_that_of_the_ducts_beyond():
    """Its machines served by a design of their own runs alone, at a collector of that bore."""
    design = load(SAVED_DESIGNS / "signal_box_mended.toml")
    one = next(one for one in splits(design) if one.run == "bench drop")
    assert one.machines == ("arching bench",)
    run = next(run for run in design.runs if run.id == "bench drop")
    only = replace(run, joins="collector", as_=None, angle=None, toward=None, taper=None)
    bench = next(machine for machine in design.machines if machine.id == "arching bench")
    arching = tuple(one for one in design.gate_sets if one.name == "arching")
    [alone] = duties(replace(design, runs=(only,), machines=(bench,), gate_sets=arching))
    assert one.second.pressure == pytest.approx(alone.pressure) and one.second.flow == pytest.approx(alone.flow)

"""What stands against a draft: every way out that is told frees it. The shop is invented: a small sander alone on a main for a planer."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import Design, Machine, Port, Stock, StockSize
from engine.search.layouts.drafting import drafted, in_sizes_of
from engine.search.layouts.proposing import drafts, sentence
from engine.search.layouts.proven import proven
from engine.search.layouts.standing_against import _ways_out, barriers
from tests.shops.bare_shops import COLLECTOR
from tests.shops.small_shops import at, q


@pytest.fixture(scope="module")
def best():
    def machine(name: str, needs: str, bore: str, east: float) -> Machine:
        return Machine(id=name, ports=(Port(id="hood", bore=q(bore, "bore"), needs=q(needs, "flow"), loss=1.5),), **at(east, 1.5))

    sizes = tuple(StockSize(nominal=f"{mm}", bore=q(f"{mm} mm", "bore"), price=mm / 10) for mm in (80, 100, 125, 140, 160))
    stock = Stock(id="pipe", kind="pipe", material="galvanised spiral", sizes=sizes)
    machines = (machine("planer", "1500 m^3/h", "160 mm", 4.0), machine("sander", "250 m^3/h", "80 mm", 8.0))
    shop = Design(name="unlike machines", collector=replace(COLLECTOR, **at(0, 0, 1.0)), machines=machines, stock=(stock,))
    *_, last = drafted(shop)
    return shop, last.found


def test_each_fault_is_told_once_with_the_ways_out_that_free_it(best):
    _, (one, *others) = best
    found = barriers(one, others)
    faults = [finding for finding in one.assessment.findings if finding.severity == "fault"]
    assert faults and sorted(map(id, (fault for barrier in found for fault in barrier.faults))) == sorted(map(id, faults))
    tried = dict(_ways_out(one.assessment))
    assert any(barrier.ways_out for barrier in found)
    for barrier in found:
        for way in barrier.ways_out:
            if way.title in tried:
                left = [f for f in assess(tried[way.title]).findings if f.severity == "fault"]
                assert not {(f.code, f.where, f.gate_set) for f in left} & {(f.code, f.where, f.gate_set) for f in barrier.faults}
                assert len(left) < len(faults)


def test_it_is_said_and_not_called_impossible(best):
    shop, (one, *others) = best
    *_, last = drafts(shop)
    reason = last.proposals[0].reason
    assert "Against it stands " in reason and reason.endswith(" were searched, not all tried.")
    assert all(sentence(barrier, one.design) in reason for barrier in barriers(one, others))


def test_what_is_proven_impossible_is_so_in_sizes_taken_at_random(best):
    _, (one, *_) = best
    made, said = proven(one)
    assert made is one and said.startswith("Proven with each joint's coefficient held at its average: no choice of stocked sizes")
    rng, refs = Random(1), [f"pipe/{size.nominal}" for size in one.design.stock[0].sizes]
    for _ in range(30):
        sized = replace(one.design, runs=tuple(replace(run, size=rng.choice(refs)) for run in one.design.runs))
        assert assess(sized).count("fault")


def test_where_a_proof_comes_upon_sizes_without_a_fault_they_are_taken(best):
    shop, _ = best
    alone = replace(shop, machines=shop.machines[:1], gate_sets=())
    one = next(drafted(alone)).at
    narrow = in_sizes_of(one, replace(one.design, runs=tuple(replace(run, size="pipe/80") for run in one.design.runs)))
    made, _ = proven(narrow)
    assert narrow.standing.faults and not made.standing.faults

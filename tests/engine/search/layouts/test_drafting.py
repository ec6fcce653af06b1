"""First layouts over random shops: consistent, solvable, every port reached, and closed in space. Shops are invented."""

from __future__ import annotations

from dataclasses import replace
from math import cos, dist, sqrt, tan
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import Design, Elbow, Hose, Machine, Straight, joins_as, ports_of, stock_sizes
from engine.design.rules.consistency import mistakes
from engine.files import design_file
from engine.search.layouts.drafting import NOTE
from engine.search.layouts.proposing import drafts, reason_of
from engine.shapes.vectors import DIRECTIONS
from engine.space.geometry import space_of
from tests.shops.bare_shops import COLLECTOR, KINDS, random_shop, rough_drafts
from tests.shops.small_shops import at

WAYS = dict(zip(DIRECTIONS, [(0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 0, 1), (0, 0, -1)], strict=True))

# ---- walking along the ducts, as a fitter would


def turned(way: tuple, angle: float, toward: str) -> tuple:
    """A direction after a turn of 45 or 90 deg toward another."""
    aim = WAYS[toward]
    if angle > 1.0 or max(map(abs, way)) < 0.99:
        return aim
    return tuple((a + b) / sqrt(2) for a, b in zip(way, aim, strict=True))


def moved(point: tuple, way: tuple, by: float) -> tuple:
    return tuple(a + by * b for a, b in zip(point, way, strict=True))


def ends_of(design: Design) -> dict[str, tuple[tuple, float, float]]:
    """Machine port -> (where its pipe ends, length of its hose, length of the whole way from the collector)."""
    sizes, known, found = stock_sizes(design), {}, {}
    inlet = design.collector
    known["collector"] = ((inlet.east.si, inlet.north.si, inlet.up.si), WAYS[inlet.faces], 0.0)
    for run in design.runs:
        point, way, length = known[run.joins]
        stock, size = sizes[run.size]
        bend = (stock.elbow_radius or 1.5) * size.bore.si
        if joins_as(run) != "straight" and run.toward:
            way = turned(way, run.angle.si, run.toward)
        spanned = 0.0
        for piece in run.pieces:
            match piece:
                case Straight():
                    point, length = moved(point, way, piece.length.si), length + piece.length.si
                case Elbow():
                    onward = turned(way, piece.angle.si, piece.toward)
                    taken = bend * tan(piece.angle.si / 2)
                    assert sum(a * b for a, b in zip(way, onward, strict=True)) == pytest.approx(cos(piece.angle.si), abs=1e-6)
                    point, way = moved(moved(point, way, taken), onward, taken), onward
                    length += bend * piece.angle.si
                case Hose():
                    spanned += piece.length.si
        known[run.id] = (point, way, length)
        if run.ends:
            found[run.ends] = (point, spanned, length + spanned)
    return found


def place_of(design: Design, port: str) -> tuple:
    placed = ports_of(design)[port][0]
    return (placed.east.si, placed.north.si, placed.up.si)


# ---- over random shops


@pytest.mark.parametrize("seed", range(16))
def test_every_shop_gets_sound_drafts(seed):
    for one in rough_drafts(random_shop(Random(seed), most=14)):
        made, reason = one.design, reason_of(one, 0.0, exact=True)
        assert mistakes(made) == ()
        assert sorted(run.ends for run in made.runs if run.ends) == sorted(ports_of(made))
        assert NOTE in made.notes
        found = assess(made)
        assert all(result.balance is not None and result.balance.flow > 0 for result in found.sets)
        assert {result.gate_set.name for result in found.sets} == {one.name for one in made.gate_sets}
        codes = {finding.code for finding in found.findings}
        unwanted = {"square-tee", "blunt-taper", "wider-outward", "long-hose", "no-duct", "no-gate", "inlet-elbow", "hose-mismatch", "bottom-entry"}
        assert not unwanted & codes
        # A gate stands near the joint where a hand reaches it there.
        assert "dead-leg" not in codes or one.plan.height > 2.0
        assert not any(finding.code == "crowded-fittings" and finding.severity == "caution" for finding in found.findings)
        assert ("must be led over or under it" in reason) == ("ducts-cross" in codes)
        assert ("no hose of good length reaches" in reason) == any(gap.distance > gap.hose + 0.05 for gap in space_of(made).gaps.values())
        inlet = (made.collector.east.si, made.collector.north.si, made.collector.up.si)
        for port, (_, spanned, length) in ends_of(made).items():
            assert 0.2 < spanned <= 1.0
            assert length >= dist(inlet, place_of(made, port)) - 0.1, port
        assert design_file.loads(design_file.dumps(made)) == made


@pytest.mark.parametrize("seed", [3, 7])
def test_bores_are_searched_and_the_best_come_first(seed):
    shop = random_shop(Random(seed), most=4)
    *_, last = drafts(shop)
    rough, *_ = rough_drafts(shop)
    assert last.proposals[0].standing.rank <= rough.standing.rank
    assert mistakes(last.proposals[0].design) == () and last.done == last.of


@pytest.mark.parametrize("seed", range(16))
def test_hoses_reach_where_machines_stand_apart(seed):
    rng = Random(seed)
    spots = rng.sample([(2.0 * east, 2.4 * north) for east in range(1, 8) for north in range(1, 4)], rng.randint(1, 7))
    kinds = [rng.choice(KINDS) for _ in spots]
    machines = tuple(
        Machine(id=f"machine {i}", ports=kind.ports, **at(east + rng.uniform(0, 0.4), north + rng.uniform(0, 0.4)))
        for i, ((east, north), kind) in enumerate(zip(spots, kinds, strict=True))
    )
    placed = replace(COLLECTOR, **at(rng.uniform(0, 16), rng.choice([0.3, 8.5]), rng.uniform(0.5, 2.0)))
    made = rough_drafts(Design(name="apart", collector=placed, machines=machines))[0].design
    space = space_of(made)
    assert set(space.gaps) == set(ports_of(made))
    for port, (end, spanned, _) in ends_of(made).items():
        assert dist(end, place_of(made, port)) <= spanned + 0.01, port
        assert space.gaps[port].distance <= space.gaps[port].hose, port

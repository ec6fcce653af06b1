"""Every benchmark, short, in one table: `python -m tests.bench`. It takes about a minute and a half.

Beside each figure stands its ratio to a reference taken in the same run, so
that figures of different machines compare: EPANET's own solve of the same
network for solves, where its library is installed, a fixed loop of pure Python
for the rest. What happens in this process is measured in its processor time,
what happens in a terminal by the clock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice
from random import Random
from time import process_time
from typing import NamedTuple

from engine import compile_tree, load, solve
from engine.air.bands import bands
from engine.checks.assess import assess
from engine.checks.look import look_at
from engine.design import Design
from engine.search.layouts.proposing import drafts
from engine.search.placement import placements
from engine.search.remedies import remedies
from engine.search.sizing import sizes
from engine.search.throttling import throttlings
from engine.search.together.every_set import every_set
from engine.units import parse, show
from tests import ROOT, SAVED_DESIGNS
from tests.bench import scale, start
from tests.bench.clock import milliseconds, seconds
from tests.outside import designs
from tests.shops.random_shops import random_design, random_ports

_DEMO = SAVED_DESIGNS / "boat_shed.toml"
_PORTS = (12, 50, 200)
_NETWORKS, _LOOPS = 200, 100_000


class Figure(NamedTuple):
    """What was measured, in s, and the reference it is compared with, in s; None for the loop."""

    what: str
    taken: float
    reference: float | None = None


def loop() -> int:
    """A fixed loop of pure Python: whole numbers, floats, a list and a dictionary."""
    value, total, seen = 1, 0.0, dict[int, list[float]]()
    for _ in range(_LOOPS):
        value = (value * 1103515245 + 12345) % 2147483648
        total = 0.5 * total + value / 3.0
        seen.setdefault(value % 64, []).append(total)
    return len(seen)


def figures() -> Iterator[Figure]:
    """Every figure, in the order of the layers."""
    yield from _solves()
    demo = load(_DEMO)
    yield from _engine(demo)
    for what, (taken,) in start.measured([ROOT], turns=3):
        yield Figure(f"start: {what}", taken)
    yield from _searches(demo)
    for name, times in scale.measured(terminal=False).items():
        fitted, last = scale.exponents(times)
        yield Figure(f"{scale.RUNS[-1]} runs: {name}; grows as {fitted:.2f}, at last {last:.2f}", times[-1])
    for what, taken in scale.in_terminal(demo).items():
        yield Figure(f"session: {what}", taken)


def _solves() -> Iterator[Figure]:
    for ports in _PORTS:
        for fixed, joints in ((True, "fixed joints"), (False, "flow-ratio joints")):
            design = designs.workshop(ports, fixed=fixed)
            tree, opened = compile_tree(design), designs.connected(design)
            yield Figure(f"solve of {ports} ports, {joints}", _quickest(lambda t=tree, o=opened: solve(t, o)), _epanet(ports))
    networks = [(compile_tree(made), random_ports(rng, made)) for rng, made in map(_random, range(1, 2 * _NETWORKS, 2))]
    yield Figure(f"solve of a random network, mean of {_NETWORKS}", _quickest(lambda: [solve(*one) for one in networks]) / _NETWORKS)


def _random(seed: int) -> tuple[Random, Design]:
    rng = Random(seed)
    return rng, random_design(rng, plausible=True)


def _epanet(ports: int) -> float | None:
    """Seconds of EPANET's own solve; None where its library is not installed."""
    try:
        from tests.bench.solve import epanet_alone
    except ImportError:
        return None
    return epanet_alone(ports)


def _engine(demo: Design) -> Iterator[Figure]:
    found = assess(demo)
    twelve = designs.workshop(12, fixed=False)
    look = look_at(twelve, compile_tree(twelve))
    calls: dict[str, Callable[[], object]] = {
        "a thousand fields read": lambda: [parse("12ft 6 1/2in", "length") for _ in range(1000)],
        "a thousand fields shown": lambda: [show(0.243, "flow", "metric") for _ in range(1000)],
        "boat shed: file read": lambda: load(_DEMO),
        "boat shed: checked": lambda: assess(demo),
        "boat shed: bands of its gate sets": lambda: bands(demo, found.tree, found.sets),
        "12 machines: every set": lambda: every_set(look),
    }
    yield from (Figure(what, _quickest(call)) for what, call in calls.items())


def _searches(demo: Design) -> Iterator[Figure]:
    before = assess(demo)
    calls: dict[str, Callable[[], object]] = {
        "remedies": lambda: list(remedies(demo, before)),
        "throttling": lambda: list(throttlings(demo, before)),
        "sizes, first answer": lambda: next(step for step in sizes(demo) if step.proposals),
        "drafts, the first": lambda: next(step for step in drafts(demo) if step.proposals),
        "drafts, all": lambda: list(drafts(demo)),
        "placement, its first ten spots": lambda: list(islice(placements(demo), 10)),
    }
    for what, call in calls.items():
        begun = process_time()
        call()
        yield Figure(f"boat shed: {what}", process_time() - begun)


def _quickest(call: Callable[[], object]) -> float:
    return seconds(call, clock=process_time)


def main() -> None:
    """Print the table."""
    base = _quickest(loop)
    print(f"the loop took {milliseconds(base)} ms\n")
    print("benchmark".ljust(74), "ms".rjust(9), "ratio".rjust(9), " to")
    for what, taken, reference in figures():
        ratio = taken / (reference or base)
        print(what.ljust(74), milliseconds(taken).rjust(9), f"{ratio:.3g}".rjust(9), " EPANET" if reference else " loop", flush=True)
    print(f"\nthe loop took {milliseconds(_quickest(loop))} ms at the end")


if __name__ == "__main__":
    main()

"""Bores for a first layout: fast enough for the load, from what the store has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engine.air.one.ducts import area
from engine.design import Design, Elbow, Port, Stock
from engine.design.from_catalog import speed_limits
from engine.design.meaning import elbow_shape
from engine.search.layouts.sizes.pipes import LEAN, Pipe, wants_of
from engine.search.quantities import whole_degrees
from engine.values import dataclass

# A bore may be this much wider than the one wanted: TRGS 553 of 2008 prints "120 (125)".
_TAKEN_FOR = 125 / 120


@dataclass(frozen=True)
class Size:
    """A size of pipe to choose: its reference and, as pipe, its bore and the radius of its elbows."""

    ref: str
    pipe: Pipe

    @property
    def bore(self) -> float:
        """Inside diameter, m."""
        return self.pipe.bore


def pipe_sizes(stock: Stock, design: Design | None = None) -> tuple[Size, ...]:
    """The sizes of a stock of pipe, with what a design's own limits want between its fittings."""
    make, radius, _ = elbow_shape(Elbow(angle=whole_degrees(LEAN)), stock)
    bend = 0.0 if make == "mitred" else radius
    wants = wants_of(design, stock)
    return tuple(Size(f"{stock.id}/{size.nominal}", Pipe(size.bore.si, bend * size.bore.si, wants)) for size in stock.sizes)


def size_for(flow: float, sizes: Sequence[Size], *, slow: float, fast: float) -> Size:
    """The size, of at least one, whose speed (m/s) at a flow (m3/s) is nearest above `slow` and not above `fast`.

    Where there is none: one whose bore may be taken for such a one, else the
    widest that is fast enough, else the narrowest.
    """
    speed = {size: flow / area(size.bore) for size in sizes}
    good = [size for size in sizes if slow <= speed[size] <= fast]
    nearly = [size for size in sizes if slow <= speed[size] * _TAKEN_FOR**2 <= fast]
    quick = [size for size in sizes if slow <= speed[size]]
    will_do = good or nearly or quick
    return widest(will_do) if will_do else min(sizes, key=lambda size: size.bore)


def branch_size(design: Design, ports: Sequence[Port], sizes: Sequence[Size]) -> Size:
    """The size of a branch to at least one port: fast enough at all they need, never narrower than for one of them."""
    slow, _, fast = _speeds(design)
    needs = [sum(port.needs.si for port in ports), *(port.needs.si for port in ports)]
    return widest([size_for(flow, sizes, slow=slow, fast=fast) for flow in needs])


def main_size(design: Design, needs: Mapping[str, float], branches: Sequence[Size], sizes: Sequence[Size]) -> Size:
    """The size of a main: fast enough for what works beyond it, never narrower than a branch there.

    `needs`, of at least one machine, are by its id, m3/s; `branches` the sizes
    of those beyond, `sizes` those there are to choose from.
    """
    _, slow, fast = _speeds(design)
    return widest([size_for(working_flow(design, needs), sizes, slow=slow, fast=fast), *branches])


def working_flow(design: Design, needs: Mapping[str, float]) -> float:
    """The largest flow (m3/s) that one of these machines makes with the least company it works in: alone, its own needs.

    `needs`, of at least one machine, are by its id, m3/s.
    """

    def least(machine: str) -> float:
        sets = (gate_set.open for gate_set in design.gate_sets if machine in gate_set.open)
        return min((sum(needs.get(other, 0.0) for other in together) for together in sets), default=needs[machine])

    return max(map(least, needs))


def widest(sizes: Sequence[Size]) -> Size:
    """The size of the largest bore, of at least one."""
    return max(sizes, key=lambda size: size.bore)


def _speeds(design: Design) -> tuple[float, float, float]:
    """Slow limits of branch and main, and the fast one, m/s."""
    limits = speed_limits(design.conveying)
    return limits.slow_branch.value, limits.slow_main.value, limits.fast.value

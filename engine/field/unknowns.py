"""What a data sheet leaves open and readings may tell: the unknowns of a shop, each with what is believed of it before anything is read.

An unknown is a factor on a figure of the design. Before any reading its
logarithm is normal about 0, so that half as much is as likely as twice as
much; ducts that the design has as tight leak 0 times what class A allows, or
more. Spreads are one standard deviation; judgement where no source is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import exp, log
from typing import Any

from engine import catalog
from engine.air.bands import PORTS
from engine.air.fan import filter_loss
from engine.air.one.duct_maker import FLEXIBLE_HOSE, guessed_port
from engine.design import AS_DESIGNED, Design, Hose, Run, Tuned, TunedPort, defaults, ports_of, stock_sizes
from engine.values import dataclass

# From one standard deviation to what holds nine times in ten.
NINE_IN_TEN = 1.645
# A collector's curve: of the size of what its sheet flatters and an elbow at its inlet takes (0 to 20 %, AMCA-based guidance).
_COLLECTOR = 0.08
# A filter's drop in the state that a reading names.
_FILTER = 0.5
# What ducts leak: EN 12237 states the most that a class allows; ducts nobody sealed or tested are often about class A (common practice, no source).
_LEAKAGE, _TIGHT = 0.5, 0.5
# All ports together, and one whose loss is told, beside all of them.
_ALL_PORTS, _TOLD_PORT = 0.3, 0.2
_FARTHEST = 4.0  # spreads: nothing is sought beyond


@dataclass(frozen=True, slots=True)
class Unknown:
    """An unknown: a field of `Tuned`, or a port by its name.

    `spread` is of the logarithm of its factor; where that is 0 at first, of
    the factor itself. `x` is how far it is from what the design says, in
    spreads.
    """

    of: str
    spread: float
    from_nothing: bool = False

    @property
    def least(self) -> float:
        """The least `x` there can be."""
        return 0.0 if self.from_nothing else -_FARTHEST

    @property
    def most(self) -> float:
        """The largest `x` that is looked at."""
        return _FARTHEST

    def factor(self, x: float) -> float:
        """Its factor."""
        return self.spread * x if self.from_nothing else exp(self.spread * x)


def unknowns(built: Design, open_ports: Iterable[str]) -> tuple[Unknown, ...]:
    """The unknowns of a design as built that readings with these ports open may tell of."""
    return tuple(_unknowns(built, frozenset(open_ports)))


def _unknowns(built: Design, open_ports: frozenset[str]) -> Iterator[Unknown]:
    yield Unknown("collector", _COLLECTOR)
    if filter_loss(built.collector):
        yield Unknown("filter", _FILTER)
    materials = _materials(built)
    if pipes := [material for material in materials if material != FLEXIBLE_HOSE]:
        yield Unknown("pipe", max(map(_of_catalog, pipes)))
    if FLEXIBLE_HOSE in materials:
        yield Unknown("hose", _of_catalog(FLEXIBLE_HOSE))
    yield Unknown("leakage", _TIGHT, from_nothing=True) if built.leakage.tightness is None else Unknown("leakage", _LEAKAGE)
    ports = {name: port for name, (_, port) in ports_of(built).items() if name in open_ports}
    if len(ports) > 1:
        yield Unknown("ports", _ALL_PORTS)
    for name, port in ports.items():
        if guessed_port(name, port, AS_DESIGNED):
            low, high = defaults.PORT_LOSS_SPAN
            yield Unknown(name, _span(low, high))
        else:
            yield Unknown(name, PORTS if port.suction is not None else _TOLD_PORT)


def _materials(built: Design) -> frozenset[str]:
    """What the runs and hoses are made of."""
    sizes = stock_sizes(built)

    def of(run: Run) -> Iterator[str]:
        yield run.material or (sizes[run.size][0].material if run.size else "")
        for piece in run.pieces:
            if isinstance(piece, Hose):
                yield sizes[piece.size][0].material if piece.size else FLEXIBLE_HOSE

    return frozenset(material for run in built.runs for material in of(run) if material)


def _of_catalog(material: str) -> float:
    row = catalog.roughness(material)
    return _span(row.low, row.high)


def _span(low: float, high: float) -> float:
    """The spread of a logarithm that lies between those of `low` and `high` nine times in ten."""
    return log(high / low) / (2.0 * NINE_IN_TEN)


def tuned_by(every: Sequence[Unknown], at: Iterable[float]) -> Tuned:
    """The factors with each unknown at its `x`, switched on; a port of its own goes by the factor of all ports times its own."""
    factors: dict[str, Any] = {unknown.of: unknown.factor(x) for unknown, x in zip(every, at, strict=True)}
    common = factors.get("ports", 1.0)
    own = tuple(TunedPort(port=name, loss=common * factor) for name, factor in factors.items() if is_port(name))
    return replace(AS_DESIGNED, on=True, own_ports=own, **{name: factor for name, factor in factors.items() if not is_port(name)})


def is_port(name: str) -> bool:
    """Whether an unknown is one port: no field has a "/"."""
    return "/" in name

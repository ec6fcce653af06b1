"""A duct: one run as the air meets it, everything on it that costs pressure gathered; several in a row as one; a leak, the gaps in its walls.

Bookkeeping is in total pressure below the room's ("suction", positive).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import pi
from typing import NamedTuple

from engine.air.losses.elbows import mitred_reynolds_factor
from engine.air.losses.friction import colebrook
from engine.air.losses.leaks import LEAK_EXPONENT
from engine.air.properties import Air
from engine.design.kept import ROWS, kept
from engine.values import dataclass

FrictionLaw = Callable[[float, float], tuple[float, float]]

_START_FRICTION = 0.02  # a friction factor about as good ducts have it
_START_LEAK_PRESSURE = 1000.0  # Pa, about what stands over a leak


class Part(NamedTuple):
    """Something that costs pressure, in a bore: coefficient x VP + f x length / bore x VP.

    `place` is where it stands in its run: "joint", the index of a piece, or
    "port". `coefficient` is in velocity pressures of `bore` [m]; `mitred` ones
    take a Reynolds factor. `length` [m] is of pipe with friction, its
    `roughness` in m; `folds` is a factor on the friction of a hose left compressed.
    `gate` is its name where it is one.
    """

    place: str | int
    label: str
    bore: float
    coefficient: float = 0.0
    length: float = 0.0
    folds: float = 1.0
    roughness: float = 0.0
    mitred: bool = False
    gate: str = ""


class FrictionTerm(NamedTuple):
    """Friction of one bore and roughness: loss = f(Re, e/D) x factor x q^2, Re = q x reynolds."""

    factor: float
    reynolds: float
    relative_roughness: float


class MitreTerm(NamedTuple):
    """Mitred elbows of one bore: loss = Reynolds factor(Re) x factor x q^2, Re = q x reynolds."""

    factor: float
    reynolds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What one flow of air meets on a stretch of its way: one duct, or several that follow each other (made by `reach_of`).

    `square` holds all constant coefficients: loss = square x q^2, Pa s2/m6.
    """

    square: float
    frictions: tuple[FrictionTerm, ...]
    mitres: tuple[MitreTerm, ...]

    def loss(self, q: float, friction: FrictionLaw = colebrook) -> tuple[float, float]:
        """Total-pressure loss [Pa] at a flow of 0 or more [m3/s] and its slope [Pa s/m3], what is lost where it joins others not included."""
        square, slope = self.square, 0.0
        for factor, reynolds, relative_roughness in self.frictions:
            f, log_slope = friction(q * reynolds, relative_roughness)
            f *= factor
            square += f
            slope += f * log_slope
        for factor, reynolds in self.mitres:
            more, more_slope = mitred_reynolds_factor(q * reynolds)
            square += more * factor
            slope += more_slope * reynolds * factor * q
        return square * q * q, (2.0 * square + slope) * q

    @property
    def resistance(self) -> float:
        """About its loss over flow squared, Pa s2/m6, for a search for flows to start from."""
        square = self.square
        for term in self.frictions:
            square += _START_FRICTION * term.factor
        for mitre in self.mitres:
            square += mitre.factor
        return square


@dataclass(frozen=True, slots=True, kw_only=True)
class Duct(Reach):
    """One compiled run (made by `duct_of`). `parts` go from the collector outward, the port's own at the end.

    `near_bore` and `far_bore` are the bores at its ends (a hose may differ
    from the run), m; `speed_bore` is the one its speed is told in: that of its
    pipe, or of the hose where it is made of hose alone. `joint_square` and
    `port_square` are the shares of its `square` at the joint and the port.
    `parent` is the position of the duct that it joins, -1 for the collector.
    """

    run: str
    parent: int
    bore: float
    near_bore: float
    far_bore: float
    speed_bore: float
    parts: tuple[Part, ...]
    joint_square: float
    port_square: float
    gates: tuple[str, ...]
    port: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """The gaps in the walls of a run, a way for air that no gate shuts: flow = conductance x static suction^0.65 (EN 12237).

    All of them are under the static suction at the run's collector end, where
    it is greatest: `wall` is the position of the run, `parent` that of the duct
    it joins, and static suction is above the total one there by `dynamic` x flow
    of the run squared, Pa s2/m6. `conductance` is the flow under 1 Pa, m3/s.
    `behind` are the gates between them and the collector: with one of them
    shut, nothing is drawn in.
    """

    run: str
    wall: int
    parent: int
    dynamic: float
    conductance: float
    behind: tuple[str, ...] = ()

    def loss(self, q: float, _friction: FrictionLaw = colebrook) -> tuple[float, float]:
        """Static suction [Pa] that draws in a flow of 0 or more [m3/s], and its slope [Pa s/m3]."""
        loss: float = (q / self.conductance) ** (1 / LEAK_EXPONENT)
        return loss, loss / (LEAK_EXPONENT * q) if q else 0.0

    @property
    def resistance(self) -> float:
        """About its loss over flow squared, Pa s2/m6, for a search for flows to start from."""
        flow: float = self.conductance * _START_LEAK_PRESSURE**LEAK_EXPONENT
        return _START_LEAK_PRESSURE / flow**2


@kept(ROWS)
def reach_of(joints: float, *ducts: Duct) -> Reach:
    """The ducts that follow each other as one; `joints` is what is lost where they join, over the flow squared, Pa s2/m6. No duct is no loss.

    Friction of one bore and roughness is one term: it has one friction factor.
    """
    if len(ducts) == 1 and not joints:
        return ducts[0]
    frictions: dict[tuple[float, float], float] = {}
    mitres: dict[float, float] = {}
    square = joints
    for duct in ducts:
        square += duct.square
        for factor, reynolds, relative_roughness in duct.frictions:
            alike = reynolds, relative_roughness
            frictions[alike] = frictions.get(alike, 0.0) + factor
        for factor, reynolds in duct.mitres:
            mitres[reynolds] = mitres.get(reynolds, 0.0) + factor
    return Reach(
        square=square, frictions=tuple([FrictionTerm(factor, *alike) for alike, factor in frictions.items()]),
        mitres=tuple([MitreTerm(factor, reynolds) for reynolds, factor in mitres.items()]),
    )  # fmt: skip


def duct_of(
    run: str, parent: int, parts: Sequence[Part],
    *, bore: float, near_bore: float, far_bore: float, speed_bore: float, gates: tuple[str, ...], port: str | None, air: Air,
) -> Duct:  # fmt: skip
    """A duct of these parts in air of a state.

    What does not depend on flow is gathered by bore and roughness, so that each step of the solver does the least work.
    """
    square, at = 0.0, {"joint": 0.0, "port": 0.0}
    lengths: dict[tuple[float, float], float] = {}
    mitres: dict[float, float] = {}
    dynamic = {bore: air.density / (2 * area(bore) ** 2) for bore in {part.bore for part in parts}}
    for part in parts:
        per_flow = dynamic[part.bore]
        if part.mitred:
            mitres[part.bore] = mitres.get(part.bore, 0.0) + part.coefficient * per_flow
        else:
            square += part.coefficient * per_flow
        if isinstance(part.place, str):
            at[part.place] += part.coefficient * per_flow
        if part.length:
            key = (part.bore, part.roughness)
            lengths[key] = lengths.get(key, 0.0) + part.folds * part.length / part.bore * per_flow
    return Duct(
        run=run, parent=parent, bore=bore, near_bore=near_bore, far_bore=far_bore, speed_bore=speed_bore, parts=tuple(parts),
        square=square, joint_square=at["joint"], port_square=at["port"],
        frictions=tuple(FrictionTerm(k, reynolds_per_flow(bore, air), rough / bore) for (bore, rough), k in lengths.items()),
        mitres=tuple(MitreTerm(k, reynolds_per_flow(bore, air)) for bore, k in mitres.items()),
        gates=gates, port=port,
    )  # fmt: skip


def area(bore: float) -> float:
    """Cross-section [m2] of a round bore [m]."""
    return pi * bore * bore / 4


def reynolds_per_flow(bore: float, air: Air) -> float:
    """Reynolds number of 1 m3/s in a bore [m]."""
    return 4 * air.density / (pi * bore * air.viscosity)

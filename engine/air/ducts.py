"""One run compiled into a duct: everything on it that costs pressure, part by part.

Bookkeeping is in total pressure below the room's ("suction", positive).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import pi
from typing import Literal, NamedTuple

from engine import catalog
from engine.air.losses import elbows, gates, hoses, tapers
from engine.air.losses.elbows import mitred_reynolds_factor
from engine.air.losses.friction import colebrook
from engine.air.losses.leaks import LEAK_EXPONENT, wall_leak
from engine.air.losses.ports import loss_from_suction
from engine.air.properties import Air
from engine.design import (
    DEFAULT_TAPER,
    Cleanout,
    Elbow,
    Gate,
    Hose,
    OwnLoss,
    Piece,
    Port,
    Run,
    Stock,
    StockSize,
    Straight,
    joins_as,
)  # fmt: skip

FrictionLaw = Callable[[float, float], tuple[float, float]]
Sizes = Mapping[str, tuple[Stock, StockSize]]

# An elbow's make and radius where neither it nor its stock says: common practice, no source.
ELBOW_MAKE, ELBOW_RADIUS, ELBOW_GORES = "smooth", 1.5, 5
# A machine port of which nothing is known: common practice, no source.
PORT_LOSS = 1.5


@dataclass(frozen=True, slots=True)
class Part:
    """Something that costs pressure, in a bore: coefficient x VP + f x length / bore x VP.

    `place` is where it stands in its run: "joint", the index of a piece, or
    "port". `coefficient` is in velocity pressures of `bore`; `mitred` ones
    take a Reynolds factor. `length` is of pipe with friction, in m.
    """

    place: str | int
    label: str
    bore: float
    coefficient: float = 0.0
    length: float = 0.0
    roughness: float = 0.0
    mitred: bool = False


class FrictionTerm(NamedTuple):
    """Friction of one bore and roughness: loss = f(Re, e/D) x factor x q^2, Re = q x reynolds."""

    factor: float
    reynolds: float
    relative_roughness: float


class MitreTerm(NamedTuple):
    """Mitred elbows of one bore: loss = Reynolds factor(Re) x factor x q^2, Re = q x reynolds."""

    factor: float
    reynolds: float


@dataclass(frozen=True, slots=True)
class Duct:
    """One compiled run. `parts` go from the collector outward, the port's own at the end.

    `near_bore` and `far_bore` are the bores at its ends (a hose may differ
    from the run). `square` holds all constant coefficients: loss = square x q^2;
    `joint_square` and `port_square` the shares of it at the joint and the port.
    A gap in the walls has `leak` instead: flow = leak x suction^0.65.
    """

    run: str
    parent: int
    bore: float
    near_bore: float
    far_bore: float
    parts: tuple[Part, ...]
    square: float
    joint_square: float
    port_square: float
    frictions: tuple[FrictionTerm, ...]
    mitres: tuple[MitreTerm, ...]
    gates: tuple[str, ...]
    port: str | None
    leak: float = 0.0


@dataclass(frozen=True, slots=True)
class Lean:
    """How far what is published is taken to one side: factors on coefficients, and which end of the roughness span."""

    fittings: float = 1.0
    ports: float = 1.0
    roughness: Literal["value", "low", "high"] = "value"


AS_PUBLISHED = Lean()


def area(bore: float) -> float:
    """Cross-section of a round bore, m2."""
    return pi * bore * bore / 4


def pipe_of(run: Run, sizes: Sizes, lean: Lean = AS_PUBLISHED) -> tuple[float, float, Stock | None]:
    """Bore (m), roughness (m) and stock of a run's pipe."""
    if run.size is None:
        return run.bore.si, material_roughness(run.material, lean), None
    stock, size = sizes[run.size]
    return size.bore.si, stock_roughness(stock, lean), stock


def stock_roughness(stock: Stock, lean: Lean = AS_PUBLISHED) -> float:
    """Roughness of a stock, m: its own or the catalog's."""
    return stock.roughness.si if stock.roughness else material_roughness(stock.material, lean)


def material_roughness(material: str, lean: Lean = AS_PUBLISHED) -> float:
    """Roughness of a pipe material, m."""
    return getattr(catalog.roughness(material), lean.roughness)


def port_coefficient(port: Port, density: float) -> float:
    """A port's loss in velocity pressures of its bore, from the measured suction where there is one."""
    if port.suction is not None and port.needs.si > 0:
        return loss_from_suction(port.suction.si, port.needs.si, port.bore.si, density)
    return PORT_LOSS if port.loss is None else port.loss


def elbow_shape(elbow: Elbow, stock: Stock | None) -> tuple[str, float, int]:
    """Make, radius ratio and gores of an elbow, from itself, else its stock, else common practice."""
    make = elbow.make or (stock and stock.elbow_make) or ELBOW_MAKE
    radius = elbow.radius or (stock and stock.elbow_radius) or ELBOW_RADIUS
    return make, radius, elbow.gores or ELBOW_GORES


@dataclass(frozen=True, slots=True)
class DuctMaker:
    sizes: Sizes
    ports: dict[str, Port]
    air: Air
    lean: Lean = AS_PUBLISHED

    def needs(self, run: Run, parent: int, parent_bore: float) -> tuple:
        """All that `duct` looks at: as long as it is equal, so is the duct."""
        sizes = [self.sizes.get(run.size)] + [self.sizes.get(piece.size) for piece in run.pieces if isinstance(piece, Hose)]
        return run, parent, parent_bore, self.air, self.lean, self.ports.get(run.ends), sizes

    def duct(self, run: Run, parent: int, parent_bore: float) -> Duct:
        bore, roughness, stock = pipe_of(run, self.sizes, self.lean)
        pieces, bores = [], [bore]
        for i, piece in enumerate(run.pieces):
            piece_bore = bore
            if isinstance(piece, Hose) and piece.size:
                piece_bore = self.sizes[piece.size][1].bore.si
            if piece_bore != bores[-1]:
                pieces.append(_taper(i, "taper", piece_bore, bores[-1], DEFAULT_TAPER))
            pieces.extend(self._piece(i, piece, piece_bore, roughness, stock))
            bores.append(piece_bore)
        near = bores[1] if len(bores) > 1 else bore
        far = bores[-1]
        if run.ends is None and far != bore:
            pieces.append(_taper(len(run.pieces) - 1, "taper", bore, far, DEFAULT_TAPER))
            far = bore
        parts = [*_joint_taper(run, bore, parent, parent_bore), *pieces, *self._port(run, far)]
        return Duct(
            run.id, parent, bore, near, far, tuple(parts), *_terms(parts, self.air),
            tuple(piece.name for piece in run.pieces if isinstance(piece, Gate)), run.ends,
        )  # fmt: skip

    def _piece(self, i: int, piece: Piece, bore: float, roughness: float, stock: Stock | None) -> list[Part]:
        match piece:
            case Straight():
                return [Part(i, "straight", bore, length=piece.length.si, roughness=roughness)]
            case Elbow():
                make, radius, gores = elbow_shape(piece, stock)
                if make == "mitred":
                    return [Part(i, "elbow", bore, self.lean.fittings * elbows.mitred(piece.angle.si), mitred=True)]
                law = elbows.smooth if make == "smooth" else lambda a, r: elbows.segmented(a, r, gores)
                # The tables give the loss beyond friction: the way round the bend has its friction too.
                return [Part(i, "elbow", bore, self.lean.fittings * law(piece.angle.si, radius), piece.angle.si * radius * bore, roughness)]
            case Hose():
                if piece.size:
                    roughness = stock_roughness(self.sizes[piece.size][0], self.lean)
                elif stock is None or stock.kind != "hose":
                    roughness = material_roughness("flexible hose", self.lean)
                stretch = hoses.compression_factor(piece.compressed or 0.0, bore)
                bend = self.lean.fittings * hoses.bend(piece.bend.si) if piece.bend else 0.0
                return [Part(i, "hose", bore, bend, piece.length.si * stretch, roughness)]
            case Gate():
                return [Part(i, "gate", bore, gates.open_gate() if piece.loss is None else piece.loss)]
            case OwnLoss():
                return [Part(i, piece.name or "own loss", bore, piece.loss)]
            case Cleanout():
                return []
        raise TypeError(f"no such piece: {piece!r}")

    def _port(self, run: Run, far: float) -> list[Part]:
        if run.ends is None:
            return []
        port = self.ports[run.ends]
        angle = run.port_taper.si if run.port_taper else DEFAULT_TAPER
        change = [] if port.bore.si == far else [_taper("port", "taper at the port", port.bore.si, far, angle)]
        return [*change, Part("port", "port", port.bore.si, self.lean.ports * port_coefficient(port, self.air.density))]


def _taper(place: str | int, label: str, upstream: float, downstream: float, angle: float) -> Part:
    """A change of bore in the way of the air; its coefficient is on the smaller bore."""
    return Part(place, label, min(upstream, downstream), tapers.taper(upstream, downstream, angle))


def reducer_at_joint(run: Run, bore: float, parent: int, parent_bore: float) -> bool:
    """Whether a reducer stands at the run's collector end.

    Straight on, every change of bore is one. A branch or leg of another bore
    enters through a fitting made for both bores, unless the run names a
    taper: then the fitting has the parent's bore and a reducer follows it.
    """
    if bore == parent_bore or run.loss is not None:
        return False
    return run.taper is not None or parent < 0 or joins_as(run) == "straight"


def _joint_taper(run: Run, bore: float, parent: int, parent_bore: float) -> list[Part]:
    if parent < 0 and run.loss is not None:
        return [Part("joint", "joint", parent_bore, run.loss)]
    if not reducer_at_joint(run, bore, parent, parent_bore):
        return []
    return [_taper("joint", "taper at the joint", bore, parent_bore, run.taper.si if run.taper else DEFAULT_TAPER)]


def _terms(parts: list[Part], air: Air) -> tuple[float, float, float, tuple[FrictionTerm, ...], tuple[MitreTerm, ...]]:
    """Gather parts of one bore and roughness, so that each step of the solver does the least work."""
    square, at, lengths, mitres = 0.0, {"joint": 0.0, "port": 0.0}, {}, {}
    for part in parts:
        per_flow = air.density / (2 * area(part.bore) ** 2)
        if part.mitred:
            mitres[part.bore] = mitres.get(part.bore, 0.0) + part.coefficient * per_flow
        else:
            square += part.coefficient * per_flow
        if part.place in at:
            at[part.place] += part.coefficient * per_flow
        if part.length:
            key = (part.bore, part.roughness)
            lengths[key] = lengths.get(key, 0.0) + part.length / part.bore * per_flow
    frictions = (FrictionTerm(k, reynolds_per_flow(bore, air), rough / bore) for (bore, rough), k in lengths.items())
    mitre_terms = (MitreTerm(k, reynolds_per_flow(bore, air)) for bore, k in mitres.items())
    return square, at["joint"], at["port"], tuple(frictions), tuple(mitre_terms)


def reynolds_per_flow(bore: float, air: Air) -> float:
    """Reynolds number of 1 m3/s in a bore."""
    return 4 * air.density / (pi * bore * air.viscosity)


def duct_loss(duct: Duct, q: float, friction: FrictionLaw = colebrook) -> tuple[float, float]:
    """Total-pressure loss of a duct (Pa) and its slope with flow, joint not included."""
    if duct.leak:
        loss = (q / duct.leak) ** (1 / LEAK_EXPONENT)
        return loss, loss / (LEAK_EXPONENT * q) if q else 0.0
    square, slope = duct.square, 0.0
    for factor, reynolds, relative_roughness in duct.frictions:
        f, log_slope = friction(q * reynolds, relative_roughness)
        f *= factor
        square += f
        slope += f * log_slope
    for factor, reynolds in duct.mitres:
        more, more_slope = mitred_reynolds_factor(q * reynolds)
        square += more * factor
        slope += more_slope * reynolds * factor * q
    return square * q * q, (2.0 * square + slope) * q


def leak_of(duct: Duct, tightness: str) -> Duct:
    """The gaps in a duct's walls, by its tightness class, as a duct of their own."""
    walls = sum(pi * part.bore * part.length for part in duct.parts)
    return Duct(f"leak of {duct.run}", duct.parent, duct.bore, duct.bore, duct.bore, (), 0.0, 0.0, 0.0, (), (), (), None, wall_leak(tightness, walls))

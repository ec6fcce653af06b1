"""One run of a design compiled into a duct, part by part, and the gaps of its walls into a leak."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field
from math import pi

from engine import catalog
from engine.air.losses import elbows, gates, hoses, tapers
from engine.air.losses.leaks import wall_leak
from engine.air.losses.ports import loss_from_suction
from engine.air.one.ducts import Duct, Leak, Part, area, duct_of
from engine.air.properties import Air
from engine.design import (
    AS_DESIGNED,
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
    Tuned,
    defaults,
    joins_as,
)  # fmt: skip
from engine.design.meaning import elbow_shape, sections_of
from engine.values import dataclass

Sizes = Mapping[str, tuple[Stock, StockSize]]


@dataclass(frozen=True, slots=True)
class Lean:
    """How far what is published is taken to one side.

    `elbows` is a factor on their coefficients and those of bent hoses; `pipe`
    and `hose` are where in the catalog's span their roughness lies, 0 at its
    low end, 1 at its high one, None as it is told; `ports` are coefficients in
    place of their own. `tuned` is what the readings have it at, before any
    leaning.
    """

    elbows: float = 1.0
    pipe: float | None = None
    hose: float | None = None
    ports: Mapping[str, float] = field(default_factory=dict)
    tuned: Tuned = AS_DESIGNED


AS_PUBLISHED = Lean()
FLEXIBLE_HOSE = "flexible hose"


def pipe_of(run: Run, sizes: Sizes, lean: Lean = AS_PUBLISHED) -> tuple[float, float, Stock | None]:
    """Bore [m], roughness [m] and stock of a run's pipe; the stock is None where the run names a bore and a material."""
    if run.size is not None:
        stock, size = sizes[run.size]
        return size.bore.si, stock_roughness(stock, lean), stock
    if run.bore is None or run.material is None:
        raise ValueError(f"run {run.id!r} has neither a size nor a bore and a material")
    return run.bore.si, material_roughness(run.material, lean), None


def stock_roughness(stock: Stock, lean: Lean = AS_PUBLISHED) -> float:
    """Roughness [m] of a stock: its own or the catalog's."""
    return stock.roughness.si * _tuned(stock.material, lean) if stock.roughness else material_roughness(stock.material, lean)


def material_roughness(material: str, lean: Lean = AS_PUBLISHED) -> float:
    """Roughness [m] of a pipe material of the catalog; KeyError for another."""
    row = catalog.roughness(material)
    at = lean.hose if material == FLEXIBLE_HOSE else lean.pipe
    return _tuned(material, lean) * (row.value if at is None else row.low + at * (row.high - row.low))


def _tuned(material: str, lean: Lean) -> float:
    """The factor on the roughness of a material by the readings."""
    return (lean.tuned.hose if material == FLEXIBLE_HOSE else lean.tuned.pipe) or 1.0


def guessed_port(name: str, port: Port, tuned: Tuned) -> bool:
    """Whether nothing is known of the loss of a port, "machine/port", from readings neither."""
    return port.loss is None and (port.suction is None or port.needs.si == 0) and tuned.loss_of(name) == 1.0


def port_coefficient(port: Port, density: float) -> float:
    """A port's loss in velocity pressures of its bore in air of a density [kg/m3], from the measured suction where there is one."""
    if port.suction is not None and port.needs.si > 0:
        return loss_from_suction(port.suction.si, port.needs.si, port.bore.si, density)
    return defaults.PORT_LOSS if port.loss is None else port.loss


def port_loss(name: str, port: Port, density: float, tuned: Tuned) -> float:
    """The `port_coefficient` of the port "machine/port" as the readings have it."""
    return port_coefficient(port, density) * tuned.loss_of(name)


def reducer_at_joint(run: Run, bore: float, parent_bore: float) -> bool:
    """Whether a reducer stands at the collector end of a run of a bore [m], where it joins one of `parent_bore` [m].

    Straight on, every change of bore is one. A branch or leg of another bore
    enters through a fitting made for both bores, unless the run names a
    taper: then the fitting has the parent's bore and a reducer follows it.
    """
    if bore == parent_bore or run.loss is not None:
        return False
    return run.taper is not None or run.joins == "collector" or joins_as(run) == "straight"


# Where a duct stands: its run, the position and the bore [m] of the duct that this joins.
Spot = tuple[Run, int, float]
# All else that it is made from: its air, how far it leans, its port, its sizes.
Ground = tuple[Air, tuple[float | None, ...], Port | None, list[tuple[Stock, StockSize] | None]]


@dataclass(frozen=True, slots=True)
class DuctMaker:
    """Makes the ducts of a design's runs: its stocked sizes and ports by reference, the air in them, and which way to lean."""

    sizes: Sizes
    ports: Mapping[str, Port]
    air: Air
    lean: Lean = AS_PUBLISHED

    def alike(self, other: DuctMaker) -> bool:
        """Whether it makes the same duct of every run as another."""
        return self.sizes is other.sizes and self.ports is other.ports and self.air == other.air and self.lean == other.lean

    def ground(self, run: Run) -> Ground:
        """All that `duct` looks at beside where the run stands: as long as both are equal, so is the duct."""
        named = [run.size, *(piece.size for piece in run.pieces if isinstance(piece, Hose))]
        port = self.ports.get(run.ends) if run.ends else None
        tuned, ends = self.lean.tuned, run.ends or ""
        lean = (self.lean.elbows, self.lean.pipe, self.lean.hose, self.lean.ports.get(ends), tuned.pipe, tuned.hose, tuned.loss_of(ends))
        return self.air, lean, port, [self.sizes.get(name) if name else None for name in named]

    def duct(self, run: Run, parent: int, parent_bore: float) -> Duct:
        """The duct of a run that joins the duct at position `parent`, of `parent_bore` [m]; -1 is the collector.

        Raises KeyError where the run names a size, a material or a port that is not there.
        """
        bore, roughness, stock = pipe_of(run, self.sizes, self.lean)
        pieces, bores = [], [bore]
        for i, piece in enumerate(run.pieces):
            piece_bore = bore
            if isinstance(piece, Hose) and piece.size:
                piece_bore = self.sizes[piece.size][1].bore.si
            if piece_bore != bores[-1]:
                pieces.append(_taper(i, "taper", upstream=piece_bore, downstream=bores[-1]))
            pieces.extend(self._piece(i, piece, bore=piece_bore, roughness=roughness, stock=stock))
            bores.append(piece_bore)
        near = bores[1] if len(bores) > 1 else bore
        far = bores[-1]
        if run.ends is None and far != bore:
            pieces.append(_taper(len(run.pieces) - 1, "taper", upstream=bore, downstream=far))
            far = bore
        return duct_of(
            run.id, parent, [*_joint_taper(run, bore, parent_bore), *pieces, *self._port(run, far)],
            bore=bore, near_bore=near, far_bore=far, speed_bore=sections_of(run, self.sizes)[0].bore, port=run.ends, air=self.air,
            gates=tuple(piece.name for piece in run.pieces if isinstance(piece, Gate)),
        )  # fmt: skip

    def _piece(self, i: int, piece: Piece, *, bore: float, roughness: float, stock: Stock | None) -> list[Part]:
        match piece:
            case Straight():
                return [Part(i, "straight", bore, length=piece.length.si, roughness=roughness)]
            case Elbow():
                return [self._elbow(i, piece, bore=bore, roughness=roughness, stock=stock)]
            case Hose():
                if piece.size:
                    roughness = stock_roughness(self.sizes[piece.size][0], self.lean)
                elif stock is None or stock.kind != "hose":
                    roughness = material_roughness(FLEXIBLE_HOSE, self.lean)
                stretch = hoses.compression_factor(piece.compressed or 0.0, bore)
                bend = self.lean.elbows * hoses.bend(piece.bend.si) if piece.bend else 0.0
                return [Part(i, "hose", bore, coefficient=bend, length=piece.length.si, folds=stretch, roughness=roughness)]
            case Gate():
                return [Part(i, "gate", bore, coefficient=gates.open_gate() if piece.loss is None else piece.loss, gate=piece.name)]
            case OwnLoss():
                return [Part(i, piece.name or "own loss", bore, coefficient=piece.loss)]
            case Cleanout():
                return []
        raise TypeError(f"no such piece: {piece!r}")

    def _elbow(self, i: int, elbow: Elbow, *, bore: float, roughness: float, stock: Stock | None) -> Part:
        angle = elbow.angle.si
        make, radius, gores = elbow_shape(elbow, stock)
        if make == "mitred":
            return Part(i, "elbow", bore, coefficient=self.lean.elbows * elbows.mitred(angle), mitred=True)
        coefficient = elbows.smooth(angle, radius) if make == "smooth" else elbows.segmented(angle, radius, gores)
        # The tables give the loss beyond friction: the way round the bend has its friction too.
        return Part(i, "elbow", bore, coefficient=self.lean.elbows * coefficient, length=angle * radius * bore, roughness=roughness)

    def _port(self, run: Run, far: float) -> list[Part]:
        if run.ends is None:
            return []
        port = self.ports[run.ends]
        angle = (run.port_taper or defaults.TAPER).si
        change = [] if port.bore.si == far else [_taper("port", "taper at the port", upstream=port.bore.si, downstream=far, angle=angle)]
        coefficient = self.lean.ports.get(run.ends, port_loss(run.ends, port, self.air.density, self.lean.tuned))
        return [*change, Part("port", "port", port.bore.si, coefficient=coefficient)]


def _joint_taper(run: Run, bore: float, parent_bore: float) -> list[Part]:
    if run.joins == "collector" and run.loss is not None:
        return [Part("joint", "joint", parent_bore, coefficient=run.loss)]
    if not reducer_at_joint(run, bore, parent_bore):
        return []
    angle = (run.taper or defaults.TAPER).si
    return [_taper("joint", "taper at the joint", upstream=bore, downstream=parent_bore, angle=angle)]


def _taper(place: str | int, label: str, *, upstream: float, downstream: float, angle: float = defaults.TAPER.si) -> Part:
    """A change of bore in the way of the air; its coefficient is on the smaller bore."""
    return Part(place, label, min(upstream, downstream), coefficient=tapers.taper(upstream, downstream, angle))


def leaks_of(duct: Duct, at: int, tightness: str, behind: tuple[str, ...], air: Air, times: float = 1.0) -> Iterator[Leak]:
    """The gaps in the walls of the duct at position `at`, so many `times` what its tightness class, "A" to "D" of EN 12237, allows.

    `behind` are the gates between the duct and the collector; each gate of its
    own parts its walls, so that those beyond it leak while it is open.
    """
    dynamic = air.density / (2 * area(duct.near_bore) ** 2) - duct.joint_square
    stretches, walls = [], 0.0
    for part in duct.parts:
        walls += pi * part.bore * part.length
        if part.gate:
            stretches.append((walls, behind))
            walls, behind = 0.0, (*behind, part.gate)
    for wall, gates_before in (*stretches, (walls, behind)):
        if wall > 0:
            conductance = times * wall_leak(tightness, wall)
            yield Leak(run=duct.run, wall=at, parent=duct.parent, dynamic=dynamic, conductance=conductance, behind=gates_before)

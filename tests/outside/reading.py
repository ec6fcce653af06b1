"""A second reading of a design, made for the tests alone: what each run costs, in the order the air passes it.

It shares with the engine the coefficients of single fittings (`engine.air.losses`
and the roughness table), and no bookkeeping: bores, tapers, joints and the
collector's curve are worked out here anew, from the design.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians

from scipy.interpolate import PchipInterpolator

from engine import catalog
from engine.air.losses import elbows, gates, hoses, tapers
from engine.air.properties import Air
from engine.design import Collector, Design, Elbow, Gate, Hose, OwnLoss, Piece, Port, Run, Straight

TAPER = radians(15)
RIGHT_ANGLE = pi / 2


@dataclass(frozen=True, slots=True)
class Stretch:
    """Pipe and fittings of one bore [m]: a coefficient, and a length [m] of pipe of a roughness [m]."""

    bore: float
    coefficient: float = 0.0
    length: float = 0.0
    roughness: float = 0.0
    mitred: bool = False


@dataclass(frozen=True, slots=True)
class Inflow:
    """A run where it flows into a joint: its kind, the area [m2] it enters by, the angle [rad] and a known coefficient."""

    run: str
    kind: str
    area: float
    angle: float
    known: float | None


@dataclass(frozen=True, slots=True)
class Reading:
    """Of a design: stretches of each run in the way of the air, the ways from ports to collector, and the joints by run."""

    stretches: dict[str, tuple[Stretch, ...]]
    ways: dict[str, tuple[str, ...]]
    bores: dict[str, float]
    joints: dict[str, tuple[Inflow, ...]]


def disc(bore: float) -> float:
    """Area of a bore, m2."""
    return pi / 4 * bore**2


def read(design: Design, air: Air) -> Reading:
    """Read a consistent design."""
    by_id = {run.id: run for run in design.runs}
    bores = {run.id: _pipe(design, run)[0] for run in design.runs}
    ports = {f"{machine.id}/{port.id}": port for machine in design.machines for port in machine.ports}
    stretches, ways, joints = {}, {}, {}
    for run in design.runs:
        onto = bores.get(run.joins, design.collector.inlet.si)
        stretches[run.id] = tuple(_stretches(design, run, onto, ports.get(run.ends), air))
        if run.ends:
            way = [run.id]
            while by_id[way[-1]].joins != "collector":
                way.append(by_id[way[-1]].joins)
            ways[run.ends] = tuple(way)
        into = [child for child in design.runs if child.joins == run.id]
        if len(into) > 1 or any(child.as_ in ("branch", "leg") or child.loss is not None for child in into):
            joints[run.id] = tuple(_inflow(child, bores[child.id], bores[run.id]) for child in into)
    return Reading(stretches, ways, bores, joints)


def _pipe(design: Design, run: Run) -> tuple[float, float, object]:
    """Bore, roughness and stock of a run."""
    if run.bore is not None:
        return run.bore.si, catalog.roughness(run.material).value, None
    return _stocked(design, run.size)


def _stocked(design: Design, size: str) -> tuple[float, float, object]:
    stock_id, nominal = size.split("/", 1)
    stock = next(stock for stock in design.stock if stock.id == stock_id)
    bore = next(size.bore.si for size in stock.sizes if size.nominal == nominal)
    return bore, stock.roughness.si if stock.roughness else catalog.roughness(stock.material).value, stock


def _stretches(design: Design, run: Run, onto: float, port: Port | None, air: Air) -> list[Stretch]:
    bore, roughness, stock = _pipe(design, run)
    inside, angle = (bore, TAPER) if port is None else (port.bore.si, run.port_taper.si if run.port_taper else TAPER)
    found = [] if port is None else [Stretch(inside, _entry(port, air))]

    def step_to(wider_or_narrower: float) -> None:
        nonlocal inside, angle
        if wider_or_narrower != inside:
            found.append(Stretch(min(inside, wider_or_narrower), tapers.taper(inside, wider_or_narrower, angle)))
        inside, angle = wider_or_narrower, TAPER

    for piece in reversed(run.pieces):
        own_bore, own_roughness = bore, roughness
        if isinstance(piece, Hose):
            own_bore, own_roughness = _hose(design, run, piece)
        step_to(own_bore)
        found.append(_fitting(piece, own_bore, own_roughness, stock))
    step_to(bore)
    straight_on = run.as_ in (None, "straight") or run.joins == "collector"
    if run.loss is None and (straight_on or run.taper is not None):
        angle = run.taper.si if run.taper else TAPER
        step_to(onto)
    return found


def _hose(design: Design, run: Run, piece: Hose) -> tuple[float, float]:
    if piece.size:
        return _stocked(design, piece.size)[:2]
    bore, roughness, stock = _pipe(design, run)
    return bore, roughness if stock and stock.kind == "hose" else catalog.roughness("flexible hose").value


def _entry(port: Port, air: Air) -> float:
    if port.suction is None or not port.needs.si:
        return 1.5 if port.loss is None else port.loss
    speed = port.needs.si / disc(port.bore.si)
    return max(0.0, port.suction.si / (air.density * speed**2 / 2) - 1)


def _fitting(piece: Piece, bore: float, roughness: float, stock) -> Stretch:
    match piece:
        case Straight(length=length):
            return Stretch(bore, 0.0, length.si, roughness)
        case Hose(length=length, bend=bend, compressed=compressed):
            stretch = hoses.compression_factor(compressed or 0.0, bore)
            return Stretch(bore, hoses.bend(bend.si if bend else 0.0), length.si * stretch, roughness)
        case Gate(loss=loss):
            return Stretch(bore, gates.open_gate() if loss is None else loss)
        case OwnLoss(loss=loss):
            return Stretch(bore, loss)
        case Elbow(angle=angle):
            return _elbow(piece, angle.si, bore, roughness, stock)
    return Stretch(bore)


def _elbow(piece: Elbow, angle: float, bore: float, roughness: float, stock) -> Stretch:
    make = piece.make or getattr(stock, "elbow_make", None) or "smooth"
    radius = piece.radius or getattr(stock, "elbow_radius", None) or 1.5
    if make == "mitred":
        return Stretch(bore, elbows.mitred(angle), mitred=True)
    coefficient = elbows.smooth(angle, radius) if make == "smooth" else elbows.segmented(angle, radius, piece.gores or 5)
    return Stretch(bore, coefficient, angle * radius * bore, roughness)


def _inflow(run: Run, bore: float, onto: float) -> Inflow:
    """Straight on, or behind a taper, a run enters by the bore of the run it joins."""
    kind = run.as_ or "straight"
    if kind == "straight":
        return Inflow(run.id, kind, disc(onto), 0.0, run.loss)
    return Inflow(run.id, kind, disc(bore if run.taper is None else onto), run.angle.si if run.angle else radians(45), run.loss)


def joint_coefficients(combined: float, legs: tuple[Inflow, ...], flows: list[float]) -> list[float]:
    """Coefficients of the legs on the velocity pressure of the combined leg of an area [m2]; flows in m3/s.

    Idelchik, Handbook of Hydraulic Resistance, section 7, in flow ratios q
    and area ratios a. Two legs are written as the book does, more by the sum
    of the momentum they bring. Between 60 and 90 deg the relief that a branch
    gives to the straight leg (2 - 1.55 at 90 deg) goes with the cosine. What
    stands in place of the book's factor A: `_tightness`.
    """
    total = sum(flows)
    if total == 0:
        return [0.0] * len(legs)
    q = [flow / total for flow in flows]
    a = [leg.area / combined for leg in legs]
    kinds = [leg.kind for leg in legs]
    if kinds == ["straight", "branch"]:
        found = list(_wye(q[0], q[1], a[0], a[1], legs[1].angle))
    elif kinds == ["leg", "leg"]:
        found = _y(q, a, [leg.angle for leg in legs])
    else:
        brought = sum(2 * cos(leg.angle) * share**2 / ratio for leg, share, ratio in zip(legs, q, a, strict=True))
        found = [1 + (share / ratio) ** 2 - brought for share, ratio in zip(q, a, strict=True)]
    straight = sum(share for share, kind in zip(q, kinds, strict=True) if kind == "straight")
    for i, leg in enumerate(legs):
        if leg.kind == "straight":
            found[i] -= sum(_relief(other.angle) * share for other, share in zip(legs, q, strict=True) if other.kind == "branch")
        else:
            found[i] *= _tightness(straight, q[i], a[i], leg.angle)
    return [known if (known := leg.known) is not None else coefficient for leg, coefficient in zip(legs, found, strict=True)]


def _wye(q_s: float, q_b: float, a_s: float, a_b: float, angle: float) -> tuple[float, float]:
    """Equations 7-1 and 7-2 with A = 1; with a_s = 1 the straight leg is the familiar 1 - q_s^2 - 2 q_b^2 cos(angle)/a_b."""
    branch = 1 + (q_b / a_b) ** 2 - 2 * q_s**2 / a_s - 2 * q_b**2 * cos(angle) / a_b
    straight = 1 + (q_s / a_s) ** 2 - 2 * q_s**2 / a_s - 2 * q_b**2 * cos(angle) / a_b
    return straight, branch


def _y(q: list[float], a: list[float], angles: list[float]) -> list[float]:
    """Symmetric wye: from memory."""
    brought = 2 * cos(angles[0]) * q[0] ** 2 / a[0] + 2 * cos(angles[1]) * q[1] ** 2 / a[1]
    return [1 + (q[0] / a[0]) ** 2 - brought, 1 + (q[1] / a[1]) ** 2 - brought]


def _tightness(straight: float, own: float, a: float, angle: float) -> float:
    """The book's factor A where the straight leg brings at least 0.55/0.9 of the air; with less, on a line to a lone branch's.

    That is 1 up to 45 deg and 0.55 at 90 deg, for a branch that shares what comes from the sides with no other.
    """
    large = min(max((a - 0.3) / 0.1, 0), 1)
    if straight >= 0.55 / 0.9:
        return (1 - large) + large * 0.9 * straight
    square = max(0, -cos(2 * angle)) * (own / (1 - straight)) ** 2
    alone = (1 - large) + large * (1 - 0.45 * square)
    met = (1 - large) + large * 0.55
    return alone + (met - alone) * straight / (0.55 / 0.9)


def _relief(angle: float) -> float:
    if angle <= radians(60):
        return 0.0
    return 0.45 * (cos(radians(60)) - cos(min(angle, RIGHT_ANGLE))) / cos(radians(60))


def supply(collector: Collector, air: Air):
    """The collector's supply [Pa] as a function of flow [m3/s], at the air's density; a square loss of its own goes with density too."""
    if collector.curve:
        xs, ys = [point.flow.si for point in collector.curve], [point.pressure.si for point in collector.curve]
        curve = PchipInterpolator(xs, ys)
    else:
        free, most = collector.free_air.si, collector.max_suction.si
        xs, ys = [0.0, free], [most, 0.0]
        curve = _Parabola(free, most)
    metered = {"fan static": None, "fan total": collector.outlet}.get(collector.basis, collector.test_duct or collector.inlet)
    scale = air.density / (collector.density.si if collector.density else 1.2)
    end_slope = min(float(curve(xs[-1], 1)), -max(*ys, 1.0) / xs[-1])

    def pressure(flow: float) -> float:
        within = min(max(flow, xs[0]), xs[-1])
        value = scale * (float(curve(within)) + end_slope * max(0.0, flow - xs[-1]))
        if collector.curve and metered is not None:
            value -= air.density / 2 * (flow / disc(metered.si)) ** 2
        for loss in collector.losses:
            value -= loss.drop.si * flow / loss.at.si if loss.law == "linear" else scale * loss.drop.si * (flow / loss.at.si) ** 2
        return value

    return pressure


@dataclass(frozen=True, slots=True)
class _Parabola:
    free: float
    most: float

    def __call__(self, flow: float, derivative: int = 0) -> float:
        return -2 * self.most * flow / self.free**2 if derivative else self.most * (1 - (flow / self.free) ** 2)

"""The collector as the ducts feel it: total pressure supplied at its inlet against flow."""

from __future__ import annotations

from math import pi

from engine.air.interpolation import MonotoneCubic, monotone_cubic
from engine.design import AS_DESIGNED, Collector, CollectorLoss, Tuned, defaults
from engine.design.kept import WHOLES, kept
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Fan:
    """A collector's supply, p = scale x curve(q) - linear x q - square x q^2 (made by `fan_of`).

    `curve` goes through the given points; `scale` is the shop's air density
    over that of the curve. `beyond` is the slope of the curve past its last
    point; `falls` tells that no given pressure is above one before it. `estimated` where only free air and largest suction are known.
    """

    curve: MonotoneCubic
    beyond: float
    scale: float
    linear: float
    square: float
    estimated: bool
    falls: bool

    @property
    def low(self) -> float:
        """Flow at the first given point, m3/s."""
        return self.curve.xs[0]

    @property
    def high(self) -> float:
        """Flow at the last given point, m3/s."""
        return self.curve.xs[-1]

    @property
    def shut_off(self) -> float:
        """Pressure at no flow, Pa."""
        return self.pressure(0.0)[0]

    def pressure(self, flow: float) -> tuple[float, float]:
        """Total pressure [Pa] supplied at the inlet at a flow [m3/s], and its slope [Pa s/m3].

        At the shop's air density, after the collector's own losses. Left of
        the given points the curve stays level; right of them it goes on
        straight, falling at least as steeply as it ended and so steeply that
        it would lose its highest pressure within the last given flow
        (judgement: such an answer is past what is known, and says so).
        """
        xs = self.curve.xs
        if flow < xs[0]:
            value, slope = self.curve(xs[0])[0], 0.0
        elif flow > xs[-1]:
            slope = self.beyond
            value = self.curve(xs[-1])[0] + slope * (flow - xs[-1])
        else:
            value, slope = self.curve(flow)
        return (
            self.scale * value - flow * (self.linear + self.square * flow),
            self.scale * slope - self.linear - 2.0 * self.square * flow,
        )

    def asked(self, flow: float, pressure: float) -> float:
        """What the curve must give [Pa] at a flow [m3/s] for a total pressure [Pa] to be supplied at the inlet.

        By the curve's own basis and density: a figure to hold against a data sheet.
        """
        return (pressure + flow * (self.linear + self.square * flow)) / self.scale


def fan_of(collector: Collector, density: float, tuned: Tuned = AS_DESIGNED) -> Fan:
    """The fan of a collector in air of a density [kg/m3], its curve and its filter as the readings have them.

    The curve's pressures are, by its basis: "inlet suction", static suction
    measured in a test duct, so that the supply is that less the velocity
    pressure there; "fan static", the supply of a fan that blows out freely;
    "fan total", the supply and the velocity pressure lost at the outlet.
    They scale with density. `swirl` takes its share of what the fan adds: of
    inlet suction less the velocity pressure, else of the pressures. The
    collector's own losses, in the state of its filter, were found in air of
    the curve's density: square ones scale with it; linear ones go with
    viscosity, which height leaves as it is, and hold as given.
    Without a curve, free-air flow q0 and largest suction p0 are joined by
    p0 (1 - (q/q0)^2): judgement, an estimate. Raises ValueError where there
    is neither, or a curve whose flows do not rise.
    """
    return _fan_of(collector, density, tuned)


@kept(WHOLES)
def _fan_of(collector: Collector, density: float, tuned: Tuned) -> Fan:
    given = (collector.density or defaults.CURVE_DENSITY).si
    if collector.curve:
        curve = monotone_cubic([p.flow.si for p in collector.curve], [p.pressure.si for p in collector.curve])
        metered = metered_bore(collector)
    elif collector.free_air and collector.max_suction:
        curve, metered = _parabola(collector.free_air.si, collector.max_suction.si), None
    else:
        raise ValueError("the collector has neither a curve nor free_air with max_suction")
    kept = 1.0 - (collector.swirl or 0.0)
    square = density / (2.0 * (pi * metered**2 / 4.0) ** 2) if metered else 0.0
    if (collector.basis or defaults.BASIS) == "inlet suction":
        square *= kept
    linear = 0.0
    for loss in collector.losses:
        drop = loss_now(collector, loss, tuned)
        if loss.law == "linear":
            linear += drop / loss.at.si
        else:
            square += density / given * drop / loss.at.si**2
    scale = density / given * kept * (tuned.collector or 1.0)
    pressures = [point.pressure.si for point in collector.curve]
    falls = pressures == sorted(pressures, reverse=True)
    return Fan(curve, _slope_beyond(curve), scale, linear, square, not collector.curve, falls)


def loss_now(collector: Collector, loss: CollectorLoss, tuned: Tuned = AS_DESIGNED) -> float:
    """What a loss of a collector takes at its flow, Pa, in the present state of the filter: clean, used or dirty."""
    given = {"clean": loss.clean, "dirty": loss.dirty}.get(collector.filter or defaults.FILTER)
    return (given or loss.drop).si * ((tuned.filter or 1.0) if loss is filter_loss(collector) else 1.0)


def filter_loss(collector: Collector) -> CollectorLoss | None:
    """The loss of a collector that is its filter's: the one that says what it is clean or dirty, else the first that grows as the flow does."""
    told = (loss for loss in collector.losses if loss.clean or loss.dirty)
    return next(told, next((loss for loss in collector.losses if loss.law == "linear"), None))


def loss_at(collector: Collector, loss: CollectorLoss, flow: float, density: float, tuned: Tuned = AS_DESIGNED) -> float:
    """What a loss of a collector takes [Pa] at a flow [m3/s] in air of a density [kg/m3], by the laws of `fan_of`."""
    share = flow / loss.at.si
    if loss.law == "linear":
        return loss_now(collector, loss, tuned) * share
    return loss_now(collector, loss, tuned) * share**2 * density / (collector.density or defaults.CURVE_DENSITY).si


def metered_bore(collector: Collector) -> float | None:
    """Bore [m] whose velocity pressure the curve's pressures contain, or None. Raises ValueError where it wants an outlet and has none."""
    match collector.basis or defaults.BASIS:
        case "inlet suction":
            return (collector.test_duct or collector.inlet).si
        case "fan total":
            if collector.outlet is None:
                raise ValueError('a curve of "fan total" wants the bore of the outlet')
            return collector.outlet.si
        case _:
            return None


def _parabola(free_air: float, max_suction: float) -> MonotoneCubic:
    return MonotoneCubic((0.0, free_air), ((max_suction, 0.0, -max_suction / free_air**2, 0.0),))


def _slope_beyond(curve: MonotoneCubic) -> float:
    end = curve.xs[-1]
    highest = max(curve(x)[0] for x in curve.xs)
    return min(curve(end)[1], -max(highest, 1.0) / end)

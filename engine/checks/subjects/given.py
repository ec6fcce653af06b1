"""Findings about what was given: a collector known by too little, figures that cannot have been measured, ways that lead nowhere."""

from __future__ import annotations

from collections.abc import Iterator

from engine.air.fan import metered_bore
from engine.air.one.balance import velocity_pressure
from engine.air.properties import Air
from engine.catalog.limits import under
from engine.checks.look import Look
from engine.checks.rules import Finding, finding, limit
from engine.checks.shop import Shop, of_shop
from engine.design import Elbow, Port, Run, defaults, ports_of
from engine.design.places import COLLECTOR
from engine.shapes.vectors import WAYS, dot

_NOT_CHECKED = "from here on nothing is checked against the room"


@of_shop
def free_air_only(shop: Shop) -> Iterator[Finding]:
    """A collector known by its free-air flow alone."""
    if shop.fan.estimated:
        yield finding(shop, "free-air-only", "caution", COLLECTOR, "no curve, only free air and largest suction: every flow is a guess")


@of_shop
def straight_curve(shop: Shop) -> Iterator[Finding]:
    """A curve that is a line from the largest pressure without flow to the largest flow without pressure."""
    curve = shop.design.collector.curve
    if 0 < len(curve) <= limit(shop.design, "straight-curve", "points") and curve[0].flow.si == 0 and curve[-1].pressure.si == 0:
        text = f"a curve of {len(curve)} points, its two ends: nobody measured it, and every flow is a guess"
        yield finding(shop, "straight-curve", "caution", COLLECTOR, text)


@of_shop
def impossible_curve(shop: Shop) -> Iterator[Finding]:
    """A curve with a pressure below the velocity pressure that it contains."""
    collector = shop.design.collector
    bore = metered_bore(collector) if collector.curve else None
    if bore is None:
        return
    density = (collector.density or defaults.CURVE_DENSITY).si
    wanting = [(point, velocity_pressure(point.flow.si, bore, density)) for point in collector.curve]
    wanting = [(point, least) for point, least in wanting if under(point.pressure.si, least)]
    if wanting:
        point, least = wanting[-1]
        measure, least_text = shop.measure(point.pressure.si, least, "pressure")
        kind = "total pressure" if collector.basis == "fan total" else "static suction"
        at = shop.show(point.flow.si, "flow")
        text = f"its curve says {measure.told} of {kind} at {at}, less than the velocity pressure of that flow, {least_text}: that cannot be"
        yield finding(shop, "impossible-curve", "caution", COLLECTOR, text, measure=measure)


def suction_below_velocity_pressure(air: Air, port: Port) -> float | None:
    """The velocity pressure of a port's need, Pa, where the suction measured at it is less; None where it is not, or none was measured."""
    if port.suction is None or not port.needs.si:
        return None
    least = velocity_pressure(port.needs.si, port.bore.si, air.density)
    return least if under(port.suction.si, least) else None


@of_shop
def impossible_suction(shop: Shop) -> Iterator[Finding]:
    """Ports with a measured suction below one velocity pressure: the air has that much when it stands behind no loss at all."""
    for name, (_, port) in ports_of(shop.design).items():
        least = suction_below_velocity_pressure(shop.air, port)
        if port.suction is not None and least is not None:
            measure, least_text = shop.measure(port.suction.si, least, "pressure")
            text = f"static suction {measure.told} measured at {shop.show(port.needs.si, 'flow')}, less than the velocity pressure of that flow"
            yield finding(shop, "impossible-suction", "fault", shop.ports_at[name], f"{text}, {least_text}: that cannot be", measure=measure)


def lost_way(look: Look) -> Iterator[Finding]:
    """Runs and elbows told to turn along the way they come, where no turn leads; what follows them has no place."""
    for run in look.design.runs:
        way = look.space.ways[run.id]
        if way.lost is None or way.start is None:
            continue
        if way.heading is None:
            if run.toward:
                yield _along(look, run, None, f"leaves toward {run.toward}", f"the way {run.joins} leads")
        elif isinstance(piece := run.pieces[way.lost], Elbow) and piece.toward:
            comes = way.turns[-1].after if way.turns else way.heading
            back = "back " if dot(comes, WAYS[piece.toward]) < 0 else ""
            yield _along(look, run, way.lost, f"turns by {look.show(piece.angle.si, 'angle')} toward {piece.toward}", "the way it comes", back)


def _along(look: Look, run: Run, piece: int | None, turn: str, way: str, back: str = "") -> Finding:
    return finding(look, "lost-way", "fault", look.piece_at(run.id, piece), f"{turn}, {back}along {way}: no turn leads there, and {_NOT_CHECKED}")


GIVEN_CHECKS = (free_air_only, straight_curve, impossible_curve, impossible_suction, lost_way)

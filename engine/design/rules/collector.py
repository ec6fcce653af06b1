"""The rules of the collector and of the load: curves that can be read, limits in their order."""

from __future__ import annotations

from itertools import pairwise

from engine import catalog
from engine.design import CurvePoint, Design, system
from engine.design.from_catalog import speed_limits
from engine.design.mistake import Breach, Breaches, Path, quoted
from engine.units import show_about

FEWEST_POINTS = 2


def collector(design: Design) -> Breaches:
    """Its curve is known in one way, and its outlet as far as it is wanted."""
    held = design.collector
    estimate = {"free_air": held.free_air, "max_suction": held.max_suction}
    given = [key for key, value in estimate.items() if value is not None]
    if held.curve:
        for key in given:
            yield Breach(("collector", key), f"{key} beside a curve", "a curve, or free_air with max_suction")
    elif not given:
        yield Breach(("collector",), "neither curve nor free_air", "a curve, or free_air with max_suction")
    elif len(given) == 1:
        missing = next(key for key in estimate if key not in given)
        yield Breach(("collector", given[0]), f"{given[0]} without {missing}", f"{missing} too: one of them alone fixes no curve")
    if held.basis == "fan total" and held.outlet is None:
        yield Breach(("collector", "basis"), '"fan total" without outlet', "the bore of the outlet too")
    if held.outlet_pieces and held.outlet is None:
        yield Breach(("collector", "outlet_pieces"), "outlet_pieces without outlet", "the bore of the outlet too")
    if held.outlet_pieces and held.discharge != "outside":
        yield Breach(("collector", "outlet_pieces"), "an outlet duct without discharge outside", 'discharge = "outside"')


def curves(design: Design) -> Breaches:
    """Every curve has points enough, of flows that rise."""
    yield from _curve(("collector", "curve"), design.collector.curve)
    for i, choice in enumerate(design.collector_choices):
        yield from _curve(("collector_choice", i, "curve"), choice.curve)


def _curve(path: Path, points: tuple[CurvePoint, ...]) -> Breaches:
    if points and len(points) < FEWEST_POINTS:
        yield Breach(path, f"{len(points)} point", f"at least {FEWEST_POINTS}")
    for i, (before, point) in enumerate(pairwise(points), 1):
        if point.flow.si <= before.flow.si:
            yield Breach((*path, i, "flow"), f"{quoted(point.flow.text)} after {quoted(before.flow.text)}", "flows that rise")
    if points and not any(point.pressure.si > 0 for point in points):
        yield Breach(path, "no pressure at any flow", "pressures above 0")


def speeds(design: Design) -> Breaches:
    """The limits must lie in their order; only what the design itself says can be wrong."""
    own = design.conveying
    if own.material is not None and own.material not in catalog.conveyed_materials():
        return
    limits = speed_limits(own)
    speed = {key: getattr(limits, key).value for key in ("settles", "slow_branch", "slow_main", "fast")}

    def told(key: str) -> str:
        typed = getattr(own, key)
        return quoted(typed.text) if typed else f"{show_about(speed[key], 'speed', system(design), least=key != 'fast')} as usual"

    for slower, faster in (("settles", "slow_branch"), ("settles", "slow_main"), ("slow_branch", "fast"), ("slow_main", "fast")):
        if speed[slower] > speed[faster]:
            key, other, word = (slower, faster, "at most") if getattr(own, slower) else (faster, slower, "at least")
            yield Breach(("conveying", key), told(key), f"{word} {other}, {told(other)}")


def filter_states(design: Design) -> Breaches:
    """A clean filter takes no more than a used one, a dirty one no less."""
    for i, loss in enumerate(design.collector.losses):
        for key, sign, wanted in (("clean", 1, "at most"), ("dirty", -1, "at least")):
            state = getattr(loss, key)
            if state and loss.drop and sign * (state.si - loss.drop.si) > 0:
                yield Breach(("collector", "loss", i, key), quoted(state.text), f"{wanted} the drop, {quoted(loss.drop.text)}")

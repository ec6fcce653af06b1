"""Where a reading was taken: in a run so far from its collector end, at a port, or at the collector."""

from __future__ import annotations

from engine.design import Design, GateSet, GaugePoint, Reading, defaults, gate_sets_of, ports_of
from engine.field.built import cut_off, to_hang
from engine.units import show
from engine.values import dataclass


class Unforeseen(ValueError):  # noqa: N818  # nothing has gone wrong: the design does not tell
    """Nothing can be expected of a reading; str() is one line that says why."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place to measure: a `port`, or a `run` and the distance [m] along it from its collector end, None for its middle; else the collector."""

    port: str | None = None
    run: str | None = None
    distance: float | None = None


AT_COLLECTOR = Spot()
# The leak test of what hangs: every gate shut, every other opening capped. No gate set of a design is called so by chance.
ALL_SHUT = GateSet(name="leak test, all shut")
_NEAR = 0.05  # m, places so near are one


def same_spot(one: Spot, other: Spot) -> bool:
    """Whether two places to measure are one."""
    near, far = (-1.0 if spot.distance is None else spot.distance for spot in (one, other))
    return (one.port, one.run) == (other.port, other.run) and abs(near - far) <= _NEAR


def spot_of(design: Design, reading: Reading) -> Spot:
    """Where a reading was taken. Raises Unforeseen where the design has no such place, or has it no more."""
    if reading.test_point is not None:
        point = next((point for point in design.test_points if point.id == reading.test_point), None)
        if point is None:
            raise Unforeseen(f"the design has no test point '{reading.test_point}'{_gone(reading)}")
        return spot_of_point(design, point)
    if reading.port is not None:
        if reading.port not in ports_of(design):
            raise Unforeseen(f"the design has no port '{reading.port}'{_gone(reading)}")
        if all(run.ends != reading.port for run in design.runs):
            raise Unforeseen(f"no run leads to port '{reading.port}'")
        return Spot(port=reading.port)
    if reading.at not in (None, "collector"):
        return _in_run(design, str(reading.at), reading.from_collector.si if reading.from_collector else None, _gone(reading))
    if reading.at is None and reading.what not in ("filter drop", "inlet suction", "flow"):
        raise Unforeseen("it does not say where it was taken: wanted at, port or test_point")
    return AT_COLLECTOR


def spot_of_point(design: Design, point: GaugePoint) -> Spot:
    """The place of a test point. Raises Unforeseen where its run is no more."""
    return _in_run(design, point.at, point.from_collector.si if point.from_collector else None)


def _gone(reading: Reading) -> str:
    """Behind what the design has not: that it had it, which is known where the reading has the mark of its ducts."""
    return " any more" if reading.ducts else ""


def _in_run(design: Design, run: str, distance: float | None, gone: str = "") -> Spot:
    if run == "collector":
        return AT_COLLECTOR
    if all(each.id != run for each in design.runs):
        hint = f": it has a test point of that name, wanted test_point = '{run}'" if any(point.id == run for point in design.test_points) else gone
        raise Unforeseen(f"the design has no run '{run}'{hint}")
    if run in to_hang(design):
        raise Unforeseen(f"run '{run}' does not hang yet")
    if run in cut_off(design):
        raise Unforeseen(f"run '{run}' hangs, but not all of its way to the collector does")
    return Spot(run=run, distance=distance)


def gate_set_of(design: Design, reading: Reading) -> GateSet:
    """The gate set a reading was taken in; the only one where it names none. Raises Unforeseen where there is none such."""
    sets = gate_sets_of(design)
    if reading.gate_set == ALL_SHUT.name:
        return ALL_SHUT
    if reading.gate_set is None and len(sets) == 1:
        return sets[0]
    if reading.gate_set is None:
        raise Unforeseen("it does not say which gate set was open")
    found = next((each for each in sets if each.name == reading.gate_set), None)
    if found is None:
        raise Unforeseen(f"the design has no gate set '{reading.gate_set}'{_gone(reading)}")
    return found


def filter_of(design: Design, reading: Reading) -> str:
    """State of the filter at a reading: its own, else the design's."""
    return reading.filter or design.collector.filter or defaults.FILTER


def place_text(reading: Reading, units: str) -> str:
    """Where a reading was taken, as it says itself: "main 3, 1.2 m out"."""
    if reading.from_collector is not None:
        return f"{reading.at}, {show(reading.from_collector.si, 'length', units)} out"
    return reading.test_point or reading.port or reading.at or "collector"

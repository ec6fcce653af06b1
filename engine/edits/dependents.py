"""The rulebook of what changes along with what: form, interview and edits all ask here.

Some fields exclude each other, such as a stock size and a bore of its own.
Others mean nothing without another one, such as the angle of a run that goes
straight on. At a joint, legs come in twos and one run at most goes straight on.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

from engine.design import Collector, Design, Port, Run, Zone, children_of, joins_as, stock_sizes, system
from engine.design.places import RunAt, put
from engine.design.rules.collector import FEWEST_POINTS
from engine.units import Quantity, make

_OPPOSITE = {"west": ("east", 1), "east": ("west", -1), "south": ("north", 1), "north": ("south", -1)}


# ---- fields of one thing


def along(design: Design, item: Any, field: str, value: Any) -> dict[str, Any]:
    """The other fields of `item`, a thing of the design, that change when `field` is given `value`, with what they become."""
    match item, field:
        case Run(), "as_" if (value or "straight") != joins_as(item):
            return {"loss": None} | ({"angle": None, "toward": None} if value in (None, "straight") else {})
        case Run(), "ends" if value is None:
            return {"port_taper": None}
    return {} if value is None or value == () else _excluded(design, item, field, value)


def _excluded(design: Design, item: Any, field: str, value: Any) -> dict[str, Any]:
    """What cannot stay as it is beside a value of a field."""
    match item, field:
        case Run(), "size":
            return {"bore": None, "material": None}
        case Run(), "bore" if item.size:
            return {"size": None, "material": stock_sizes(design)[item.size][0].material}
        case Port(), "loss":
            return {"suction": None}
        case Port(), "suction":
            return {"loss": None}
        case Collector(), "curve":
            return {"free_air": None, "max_suction": None}
        case Collector(), "free_air" | "max_suction" if item.curve:
            return {"curve": ()} | {other: end for other, end in _ends_of_curve(item).items() if other != field}
        case Zone(), "west" | "east" | "south" | "north":
            return _opposite_side(design, item, field, value)
    return {}


def _ends_of_curve(collector: Collector) -> dict[str, Quantity]:
    """The free-air flow and the largest suction of a curve, which take its place; nothing of one that is not complete."""
    points = collector.curve
    if len(points) < FEWEST_POINTS:
        return {}
    return {"free_air": points[-1].flow, "max_suction": max((point.pressure for point in points), key=lambda pressure: pressure.si)}


def _opposite_side(design: Design, zone: Zone, side: str, value: Quantity) -> dict[str, Any]:
    """The side opposite to one moved past it, as far off as it was."""
    other, way = _OPPOSITE[side]
    there: Quantity = getattr(zone, other)
    if way * (there.si - value.si) > 0:
        return {}
    wide = abs(there.si - getattr(zone, side).si)
    return {other: make(value.si + way * wide, "length", system(design))}


# ---- runs that meet at a joint, runs and what they end at


def joint_settled(design: Design, place: RunAt) -> Design:
    """The design with the other runs at the joint of the run at `place` fitted to the way that run now joins."""
    run = design.runs[place.run]
    way, met = joins_as(run), len(children_of(design)[run.joins])
    for i, other in enumerate(design.runs):
        if other.joins == run.joins and other is not run:
            design = put(design, RunAt(i), _joined(other, _beside(way, joins_as(other), met)))
    return design


def _beside(way: str, present: str, met: int) -> str:
    """How a run joins beside one that joins in the `way` given, where `met` runs meet."""
    if way == "leg" and met == 2:
        return "leg"
    if present == "leg" or present == way == "straight":
        return "branch"
    return present


def as_branch(run: Run) -> Run:
    """The run joined as a branch."""
    return _joined(run, "branch")


def _joined(run: Run, way: str) -> Run:
    """The run joined in a way; a known loss belongs to the way it joined before."""
    return run if joins_as(run) == way else replace(run, as_=way, loss=None)


def lone_legs_as_branches(design: Design) -> Design:
    """The design with every leg that was left alone made a branch."""
    legs = Counter(run.joins for run in design.runs if joins_as(run) == "leg")
    runs = (as_branch(run) if joins_as(run) == "leg" and legs[run.joins] == 1 else run for run in design.runs)
    return replace(design, runs=tuple(runs))


def records_beyond(design: Design, run: str, outer: str, length: float) -> Design:
    """The design with the test points and readings farther along a run than `length` m moved to the run that takes over there."""

    def moved(record: Any) -> Any:
        if record.at != run or record.from_collector is None or record.from_collector.si <= length:
            return record
        return replace(record, at=outer, from_collector=make(record.from_collector.si - length, "length", system(design)))

    return replace(design, test_points=tuple(map(moved, design.test_points)), readings=tuple(map(moved, design.readings)))


def without_idle_tapers(design: Design) -> Design:
    """The design without the tapers to ports that runs no longer end at."""
    runs = (replace(run, port_taper=None) if run.ends is None and run.port_taper else run for run in design.runs)
    return replace(design, runs=tuple(runs))

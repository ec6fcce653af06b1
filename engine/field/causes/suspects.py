"""Who is under suspicion: every cause at every place of a design, each with how far it may go and how often it happens."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TypeVar

from engine.air.one.network import Tree
from engine.catalog.causes import cause_kinds
from engine.field.causes import faults
from engine.field.causes.faults import Condition
from engine.values import dataclass

_Place = TypeVar("_Place", str, str | None)

NOTHING = "nothing wrong"
_SHUT = (0.3, 0.45, 0.55, 0.65, 0.74, 0.82, 0.88, 0.93, 0.97)
_DRAWN = (0.3, 0.45, 0.55, 0.65, 0.74, 0.82, 0.88, 0.93, 1.0)
_OPEN = (0.1, 0.2, 0.3, 0.45, 0.65, 1.0)
_LEAK = (0.02, 0.04, 0.07, 0.11, 0.17, 0.25)
_BIN = (0.02, 0.04, 0.07, 0.11, 0.17, 0.25, 0.4)
_APART = (0.35, 0.5, 0.7, 1.0)
_LOADED = (1.5, 2.0, 2.7, 3.6, 5.0, 7.0, 10.0, 15.0)
_TORN = (0.7, 0.45, 0.25, 0.1)
_SPEED = (0.93, 0.86, 0.79, 0.72, 0.65, 0.57, 0.49, 0.4)


@dataclass(frozen=True, slots=True)
class Course:
    """One way a cause may go, from slight to grave; between two severities it is as likely as between any two others of it."""

    severities: tuple[float, ...]
    change: Callable[[Condition, float], Condition]


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause at a place: a run, a gate or a port, "" for the collector.

    `odds` is how often it happens, beside nothing wrong. It may go by any of
    its `courses`; the last severity is itself as likely as all before it
    where `whole`. `holes` tells that its network needs places for holes.
    """

    cause: str
    where: str
    odds: float
    courses: tuple[Course, ...]
    whole: bool = False
    holes: bool = False


def suspects_of(tree: Tree) -> tuple[Suspect, ...]:
    """Every suspect in a network."""
    kinds = cause_kinds()
    found: list[Suspect] = []
    for cause, suspects in _by_cause(tree).items():
        every = list(suspects)
        found += [Suspect(cause, one.where, kinds[cause].often / len(every), one.courses, one.whole, one.holes) for one in every]
    return tuple(found)


def _by_cause(tree: Tree) -> dict[str, Iterator[Suspect]]:
    runs = [duct.run for duct in tree.runs]
    gates = list(dict.fromkeys(gate for duct in tree.runs for gate in duct.gates))

    def one(where: str, severities: tuple[float, ...], *changes: Callable[[Condition, float], Condition], **rest: bool) -> Suspect:
        return Suspect("", where, 0.0, tuple(Course(severities, change) for change in changes), **rest)

    return {
        "clog": (one(run, _SHUT, *(partial(_clog, run, outward) for outward in (False, True))) for run in runs),
        "choked port": (one(port, _SHUT, partial(_at, faults.choked, port)) for port in tree.leaf_of),
        "gate open": (one(gate, _OPEN, partial(_at, faults.left_open, gate), whole=True) for gate in gates),
        "gate shut": (one(gate, _DRAWN, partial(_at, faults.left_shut, gate), whole=True) for gate in gates),
        "leak": (one(run, _LEAK, partial(_at, faults.holed, run), holes=True) for run in runs),
        "open joint": (one(run, _APART, partial(_at, faults.holed, run), holes=True) for run in runs),
        "bin leak": iter([one("", _BIN, partial(_at, faults.holed, None), holes=True)]),
        "filter loaded": iter([one("", _LOADED, faults.filter_at)]),
        "filter torn": iter([one("", _TORN, faults.filter_at)]),
        "weak collector": iter([one("", _SPEED, faults.slowed)]),
    }


def _clog(run: str, outward: bool, condition: Condition, shut: float) -> Condition:
    return faults.clogged(condition, run, outward, shut)


def _at(change: Callable[[Condition, _Place, float], Condition], place: _Place, condition: Condition, severity: float) -> Condition:
    return change(condition, place, severity)

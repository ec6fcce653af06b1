"""What of a design can be measured now, and a mark that tells whether what was measured is still the same."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from hashlib import sha256
from typing import Any

from engine.design import STATES, Design, GateSet, Hose, Run, children_of, stock_sizes
from engine.design.kept import WHOLES, kept
from engine.design.meaning import work_on
from engine.units import Quantity

_HUNG = STATES.index("hung")
# What no reading depends on: names, places, the progress of the work, the state of the filter, which each reading tells itself.
_APART = {"name", "state", "kept", "toward", "east", "north", "up", "faces", "filter", "filter_area", "hours"}
_LONG = 8  # letters of a mark


@kept(WHOLES)
def as_built(design: Design) -> Design:
    """A design with the runs left out that hang not yet, and all that join them: their openings are capped.

    As long as no run at all is marked as hung or tested, nobody keeps marks, and the whole design counts as built.
    """
    if not any(_hangs(run) for run in design.runs):
        return design
    children, waiting, built = children_of(design), ["collector"], set[str]()
    while waiting:
        for run in children[waiting.pop()]:
            if _hangs(run):
                built.add(run.id)
                waiting.append(run.id)
    return design if len(built) == len(design.runs) else replace(design, runs=tuple(run for run in design.runs if run.id in built))


def _hangs(run: Run) -> bool:
    return STATES.index(work_on(run)) >= _HUNG


def to_hang(design: Design) -> tuple[str, ...]:
    """The runs that are left out of what is built."""
    built = {run.id for run in as_built(design).runs}
    return tuple(run.id for run in design.runs if run.id not in built)


def mark_of(design: Design, gate_set: GateSet | None) -> str:
    """A mark of all that readings in a gate set depend on: another one means other ducts, gates or another collector.

    Made of what the design says, not of what is computed of it, so that it lasts.
    """
    named = _ducts(design)
    opened = None if gate_set is None else (sorted(gate_set.open), _plain(gate_set.throttle))
    return sha256(json.dumps((named, opened)).encode()).hexdigest()[:_LONG]


@kept(WHOLES)
def _ducts(design: Design) -> Any:
    built, sizes = as_built(design), stock_sizes(design)
    used = {name for run in built.runs for name in _sizes(run)}
    pipe = {name: (_plain(size.bore), stock.material, *map(_plain, (stock.roughness, stock.elbow_radius, stock.elbow_make)))
            for name in sorted(used) for stock, size in [sizes[name]]}  # fmt: skip
    ends = {run.ends for run in built.runs}
    ports = {f"{machine.id}/{port.id}": _plain(port) for machine in design.machines for port in machine.ports if f"{machine.id}/{port.id}" in ends}
    collector = replace(design.collector, size=type(design.collector.size)())
    runs = sorted(((run.id, _plain(run)) for run in built.runs), key=lambda row: row[0])
    return runs, pipe, sorted(ports.items()), _plain(collector), _plain(design.leakage), _plain(design.site.altitude)


def _sizes(run: Run) -> Iterable[str]:
    return filter(None, (run.size, *(piece.size for piece in run.pieces if isinstance(piece, Hose))))


def _plain(thing: Any) -> Any:
    """A part of a design as plain data; quantities by their worth."""
    if isinstance(thing, Quantity):
        return f"{thing.si:.6g}"
    if is_dataclass(thing):
        own = {field.name: _plain(getattr(thing, field.name)) for field in fields(thing) if field.name not in _APART}
        return [type(thing).__name__, *((name, value) for name, value in own.items() if value is not None)]
    return [_plain(part) for part in thing] if isinstance(thing, tuple) else thing

"""What of a design can be measured now, and a mark that tells whether what was measured is still the same."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from hashlib import sha256
from typing import Any, NamedTuple

from engine.design import (
    STATES,
    Body,
    Collector,
    Design,
    Gate,
    GateSet,
    Hose,
    Leakage,
    Machine,
    Port,
    Reading,
    Run,
    Site,
    Stock,
    Tuned,
    children_of,
    stock_sizes,
)  # fmt: skip
from engine.design.kept import ROWS, WHOLES, kept
from engine.design.meaning import gates_to, works_on
from engine.units import Quantity

_HUNG = STATES.index("hung")
# What no reading depends on: names, places, the progress of the work, the state of the filter, which each reading tells itself.
_APART = {"name", "state", "kept", "toward", "east", "north", "up", "faces", "filter", "filter_area", "hours"}
_LONG = 8  # letters of a mark


def as_built(design: Design) -> Design:
    """What of a design moves air, the runs left out that hang not yet, and all that join them: their openings are capped.

    As long as no run at all is marked as hung or tested, nobody keeps marks, and all runs count as built. Another reading, log entry
    or gate set leaves it the same object.
    """
    return _built(design.site, design.leakage, design.collector, design.stock, design.machines, design.runs, design.tuned)


@kept(WHOLES)
def _built(
    site: Site, leakage: Leakage, collector: Collector, stock: tuple[Stock, ...], machines: tuple[Machine, ...], runs: tuple[Run, ...], tuned: Tuned
) -> Design:  # fmt: skip
    design = Design(name="as built", site=site, leakage=leakage, collector=collector, stock=stock, machines=machines, runs=runs, tuned=tuned)
    if not any(_hangs(run) for run in runs):
        return design
    children, waiting, built = children_of(design), ["collector"], set[str]()
    while waiting:
        for run in children[waiting.pop()]:
            if _hangs(run):
                built.add(run.id)
                waiting.append(run.id)
    return replace(design, runs=tuple(run for run in runs if run.id in built))


def _hangs(run: Run) -> bool:
    """Whether a run hangs, if only in part: what of it is changed is then taken to be so already."""
    return any(STATES.index(state) >= _HUNG for state in works_on(run))


def to_hang(design: Design) -> tuple[str, ...]:
    """The runs that hang not yet, where any does."""
    return tuple(run.id for run in _left_out(design) if not _hangs(run))


def cut_off(design: Design) -> tuple[str, ...]:
    """The runs that hang, but have no way to the collector yet."""
    return tuple(run.id for run in _left_out(design) if _hangs(run))


def _left_out(design: Design) -> Iterator[Run]:
    built = {run.id for run in as_built(design).runs}
    return (run for run in design.runs if run.id not in built)


def mark_of(design: Design, gate_set: GateSet) -> str:
    """A mark of all that readings in a gate set depend on: another one means other ducts, gates or another collector.

    Made of what the design says, not of what is computed of it, so that it
    lasts; what things are called is no part of it.
    """
    return _mark(as_built(design), gate_set)


@kept(ROWS)
def _mark(built: Design, gate_set: GateSet) -> str:
    return _short(_ducts(built, gate_set))


def mark_of_ducts(design: Design) -> str:
    """A mark of the ducts and the collector alone, whichever gates are open."""
    return _mark_of_ducts(as_built(design))


@kept(WHOLES)
def _mark_of_ducts(built: Design) -> str:
    return _short(_ducts(built, None))


def mark_of_readings(readings: Iterable[Reading]) -> str:
    """A mark of what was read, in any order; names of places and gate sets are no part of it."""
    bare = [replace(one, baseline=None, ducts=None, note=None, gate_set=None, at=None, port=None, test_point=None) for one in readings]
    return _short(sorted(json.dumps(_plain(reading), default=str) for reading in bare))


def _short(told: Any) -> str:
    return sha256(json.dumps(told).encode()).hexdigest()[:_LONG]


def _ducts(built: Design, gate_set: GateSet | None) -> Any:
    """What a mark is made of, gates as they stand in a gate set, or all alike. A run is known by what it is and what hangs on it."""
    stand, joined, hanging = _stand(built, gate_set), children_of(built), dict[str, str]()
    for run_id, own in reversed(_runs(built)):  # the outermost first
        gates = [stand.get(name, "shut") for name in own.gates]
        hanging[run_id] = _short((own.told, gates, sorted(hanging[child.id] for child in joined[run_id])))
    collector = replace(built.collector, size=Body())
    roots = sorted(hanging[run.id] for run in joined["collector"])
    return roots, _plain(collector), _plain(built.leakage), _plain(built.site.altitude)


def _stand(built: Design, gate_set: GateSet | None) -> dict[str, Any]:
    """How the gates that are not shut stand."""
    if gate_set is None:
        return {}
    at_work, part = set(gate_set.open), {throttle.gate: throttle.open for throttle in gate_set.throttle}
    ways = (way for port, way in gates_to(built).items() if port.split("/")[0] in at_work)
    return {gate: part.get(gate, "open") for way in ways for gate in way}


class _Own(NamedTuple):
    """What a run is by itself: as text without a name in it, and its gates from the collector outward."""

    told: str
    gates: tuple[str, ...]


@kept(WHOLES)
def _runs(built: Design) -> list[tuple[str, _Own]]:
    """Every run, each behind the one it joins."""
    sizes, joined, waiting = stock_sizes(built), children_of(built), ["collector"]
    ports = {f"{machine.id}/{port.id}": port for machine in built.machines for port in machine.ports}

    def pipe(name: str | None) -> Any:
        if name is None:
            return None
        stock, size = sizes[name]
        return _plain(size.bore), stock.material, *map(_plain, (stock.roughness, stock.elbow_radius, stock.elbow_make))

    found: list[tuple[str, _Own]] = []
    while waiting:
        for run in joined[waiting.pop()]:
            hoses = [pipe(piece.size) for piece in run.pieces if isinstance(piece, Hose)]
            pieces = [replace(piece, size=None) if isinstance(piece, Hose) else piece for piece in run.pieces]
            told = _plain(replace(run, id="", joins="", ends=None, size=None, pieces=tuple(pieces)))
            port = ports.get(run.ends or "")
            own = json.dumps((told, pipe(run.size), hoses, _port(port) if port else None))
            found.append((run.id, _Own(own, tuple(piece.name for piece in run.pieces if isinstance(piece, Gate)))))
            waiting.append(run.id)
    return found


def _port(port: Port) -> Any:
    """What of a port the air depends on: the flow it needs only where its suction was measured at that."""
    return _plain(port.bore), port.loss, _plain(port.suction), _plain(port.needs) if port.suction else None


def _plain(thing: Any) -> Any:
    """A part of a design as plain data; quantities by their worth."""
    if isinstance(thing, Quantity):
        return f"{thing.si:.6g}"
    if is_dataclass(thing):
        own = {field.name: _plain(getattr(thing, field.name)) for field in fields(thing) if field.name not in _APART}
        return [type(thing).__name__, *((name, value) for name, value in own.items() if value is not None)]
    return [_plain(part) for part in thing] if isinstance(thing, tuple) else thing

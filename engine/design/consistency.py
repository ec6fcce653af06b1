"""The rules a design keeps beyond the shape of its fields: names, references and the tree of runs.

A design without mistakes can be compiled and solved. The network, the edits
and the session rely on that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice, pairwise
from typing import TypeVar

from engine import catalog
from engine.design import Design, Gate, Hose, Run, ports_of, stock_sizes, system
from engine.design.from_catalog import speed_limits
from engine.design.limits import breaches as values
from engine.design.mistake import (
    MOST_MISTAKES,
    Breach,
    Breaches,
    Mistake,
    Path,
    mistake_at,
    nearest_size,
    nearest_word,
    one_of,
    quoted,
    row_path,
    unique,
)
from engine.design.room_rules import walls, zone_names, zones
from engine.design.tree_rules import COLLECTOR, joints, lone_runs, named, tree, ways_of_joining
from engine.units import show_about

__all__ = ["MOST_GATE_SETS", "MOST_RUNS", "Mistake", "mistakes", "nearest_word", "row_path"]

MOST_RUNS = 500
MOST_GATE_SETS = 64
FEWEST_POINTS = 2


def mistakes(design: Design, broken: Iterable[str] = ()) -> tuple[Mistake, ...]:
    """The rules the design breaks, none when it can be solved; at most MOST_MISTAKES and one.

    `broken` names what could not be read and is None or empty in the design,
    as "Run.joins": rules that rest on it are left out.
    """
    sound = (rule for rule, needs in RULES if needs.isdisjoint(broken))
    breaches = islice((breach for rule in sound for breach in rule(design)), MOST_MISTAKES + 1)
    return tuple(mistake_at(design, *breach) for breach in breaches)


# Names and references


def _sizes_of_lists(design: Design) -> Breaches:
    for key, rows, most in (("run", design.runs, MOST_RUNS), ("gate_set", design.gate_sets, MOST_GATE_SETS)):
        if len(rows) > most:
            yield Breach((key,), f"{len(rows)} of them", f"at most {most}")


def _names(design: Design) -> Breaches:
    yield from unique(("run",), "id", (run.id for run in design.runs))
    yield from unique(("machine",), "id", (machine.id for machine in design.machines))
    yield from unique(("stock",), "id", (stock.id for stock in design.stock))
    yield from unique(("gate_set",), "name", (gate_set.name for gate_set in design.gate_sets))
    for i, machine in enumerate(design.machines):
        yield from unique(("machine", i, "port"), "id", (port.id for port in machine.ports))
    for i, stock in enumerate(design.stock):
        yield from unique(("stock", i, "size"), "nominal", (size.nominal for size in stock.sizes))
    for path, name in _ids(design):
        if name and "/" in name:
            yield Breach((*path, "id"), quoted(name), 'a name without "/"')
    for i, run in enumerate(design.runs):
        if run.id == COLLECTOR:
            yield Breach(("run", i, "id"), f'"{COLLECTOR}"', "another name: this one is the collector's")


def _ids(design: Design) -> Iterator[tuple[Path, str | None]]:
    """Every id: of two of them "machine/port" and "stock/nominal" are made, and reports tell a run from a port by the "/"."""
    yield from ((("run", i), run.id) for i, run in enumerate(design.runs))
    yield from ((("machine", i), machine.id) for i, machine in enumerate(design.machines))
    yield from ((("stock", i), stock.id) for i, stock in enumerate(design.stock))
    for i, machine in enumerate(design.machines):
        yield from ((("machine", i, "port", j), port.id) for j, port in enumerate(machine.ports))


def _gate_names(design: Design) -> Breaches:
    run_of: dict[str, Run] = {}
    for path, run, piece in _pieces(design, Gate):
        if piece.name is not None and piece.name in run_of:
            yield Breach(
                (*path, "gate"), f"{quoted(piece.name)}, which a gate of {named(run_of[piece.name])} has already", "a name of its own for each gate"
            )
        run_of.setdefault(piece.name, run)


def _references(design: Design) -> Breaches:
    runs = {run.id for run in design.runs}
    sizes, ports = stock_sizes(design), ports_of(design)
    for i, run in enumerate(design.runs):
        if run.joins != COLLECTOR:
            yield from _known(("run", i, "joins"), run.joins, runs, f'"{COLLECTOR}" or the id of a run')
        yield from _known(("run", i, "size"), run.size, sizes, 'a stock size, "stock/nominal"', nearest_size)
        yield from _known(("run", i, "ends"), run.ends, ports, 'a port, "machine/port"')
    hoses = {name for name, (stock, _) in sizes.items() if stock.kind == "hose"}
    for path, piece in (*((path, piece) for path, _, piece in _pieces(design, Hose)), *_outlet_pieces(design, Hose)):
        where, wanted = (*path, "size"), 'a size of a hose, "stock/nominal"'
        if piece.size and piece.size in sizes and piece.size not in hoses:
            yield Breach(where, f"{quoted(piece.size)}, which is rigid pipe", wanted, nearest_size(piece.size, hoses))
        else:
            yield from _known(where, piece.size, hoses, wanted, nearest_size)


def _open_machines(design: Design) -> Breaches:
    machines = {machine.id for machine in design.machines}
    for i, gate_set in enumerate(design.gate_sets):
        for j, name in enumerate(gate_set.open):
            path: Path = ("gate_set", i, "open", j)
            yield from _known(path, name, machines, "the id of a machine")
            if name in gate_set.open[:j]:
                yield Breach(path, f"{quoted(name)} a second time", "each machine once")


def _materials(design: Design) -> Breaches:
    loads, pipes = catalog.conveyed_materials(), catalog.pipe_materials()
    yield from _known(("conveying", "material"), design.conveying.material, loads, one_of(loads))
    yield from _known(("collector", "outlet_material"), design.collector.outlet_material, pipes, one_of(pipes))
    for i, stock in enumerate(design.stock):
        yield from _known(("stock", i, "material"), stock.material, pipes, one_of(pipes))
    for i, run in enumerate(design.runs):
        yield from _known(("run", i, "material"), run.material, pipes, one_of(pipes))


def _throttled_gates(design: Design) -> Breaches:
    gates = {piece.name for _, _, piece in _pieces(design, Gate)}
    for i, gate_set in enumerate(design.gate_sets):
        seen: set[str] = set()
        for j, throttle in enumerate(gate_set.throttle):
            path: Path = ("gate_set", i, "throttle", j, "gate")
            yield from _known(path, throttle.gate, gates, "the name of a gate")
            if throttle.gate in seen:
                yield Breach(path, f"{quoted(throttle.gate)} again", "each gate once in a gate set")
            seen.add(throttle.gate)


def _known(path: Path, name: str | None, known: Iterable[str], wanted: str, nearest: Callable[[str, Iterable[str]], str] = nearest_word) -> Breaches:
    if name is not None and name not in known:
        yield Breach(path, f"{quoted(name)}, which is not known", wanted, nearest(name, known))


# The ducts


def _bores(design: Design) -> Breaches:
    for i, run in enumerate(design.runs):
        if (run.size is None) == (run.bore is None):
            found = "neither size nor bore" if run.size is None else "both size and bore"
            yield Breach(("run", i), found, "either size, or bore with material")
        elif run.bore is not None and run.material is None:
            yield Breach(("run", i, "bore"), "bore without material", "the pipe's material too")
        elif run.size is not None and run.material is not None:
            yield Breach(("run", i, "material"), "material beside size", "material only with bore")


def _walls(design: Design) -> Breaches:
    for i, stock in enumerate(design.stock):
        for j, size in enumerate(stock.sizes):
            if size.outside and size.bore and size.outside.si <= size.bore.si:
                yield Breach(("stock", i, "size", j, "outside"), quoted(size.outside.text), f"more than the bore, {quoted(size.bore.text)}")


def _ports(design: Design) -> Breaches:
    taken: dict[str, Run] = {}
    for i, run in enumerate(design.runs):
        if run.ends is not None and run.ends in taken:
            yield Breach(("run", i, "ends"), f"{quoted(run.ends)}, where {named(taken[run.ends])} ends already", "a port of its own")
        if run.ends is not None:
            taken.setdefault(run.ends, run)
    for i, machine in enumerate(design.machines):
        for j, port in enumerate(machine.ports):
            if port.loss is not None and port.suction is not None:
                yield Breach(("machine", i, "port", j), "both loss and suction", "one of them")
            elif port.suction is not None and port.needs is not None and port.needs.si == 0:
                yield Breach(
                    ("machine", i, "port", j, "suction"), f"suction beside needs of {quoted(port.needs.text)}", "the flow it was measured at as needs"
                )


# The collector and what it conveys


def _collector(design: Design) -> Breaches:
    collector = design.collector
    estimate = {"free_air": collector.free_air, "max_suction": collector.max_suction}
    given = [key for key, value in estimate.items() if value is not None]
    if collector.curve:
        for key in given:
            yield Breach(("collector", key), f"{key} beside a curve", "a curve, or free_air with max_suction")
    elif not given:
        yield Breach(("collector",), "neither curve nor free_air", "a curve, or free_air with max_suction")
    elif len(given) == 1:
        missing = next(key for key in estimate if key not in given)
        yield Breach(("collector", given[0]), f"{given[0]} without {missing}", f"{missing} too: one of them alone fixes no curve")
    if collector.basis == "fan total" and collector.outlet is None:
        yield Breach(("collector", "basis"), '"fan total" without outlet', "the bore of the outlet too")
    if collector.outlet_pieces and collector.outlet is None:
        yield Breach(("collector", "outlet_pieces"), "outlet_pieces without outlet", "the bore of the outlet too")
    if collector.outlet_pieces and collector.discharge != "outside":
        yield Breach(("collector", "outlet_pieces"), "an outlet duct without discharge outside", 'discharge = "outside"')


def _curve(design: Design) -> Breaches:
    points = design.collector.curve
    if points and len(points) < FEWEST_POINTS:
        yield Breach(("collector", "curve"), f"{len(points)} point", f"at least {FEWEST_POINTS}")
    for i, (before, point) in enumerate(pairwise(points), 1):
        if point.flow.si <= before.flow.si:
            yield Breach(("collector", "curve", i, "flow"), f"{quoted(point.flow.text)} after {quoted(before.flow.text)}", "flows that rise")
    if points and not any(point.pressure.si > 0 for point in points):
        yield Breach(("collector", "curve"), "no pressure at any flow", "pressures above 0")


def _speeds(design: Design) -> Breaches:
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


def _gates_outside(design: Design) -> Breaches:
    for path, _ in _outlet_pieces(design, Gate):
        yield Breach((*path, "gate"), "a gate in the duct outside", "gates in runs only: no gate set would open this one")


def _filter_states(design: Design) -> Breaches:
    for i, loss in enumerate(design.collector.losses):
        for key, sign, wanted in (("clean", 1, "at most"), ("dirty", -1, "at least")):
            state = getattr(loss, key)
            if state and loss.drop and sign * (state.si - loss.drop.si) > 0:
                yield Breach(("collector", "loss", i, key), quoted(state.text), f"{wanted} the drop, {quoted(loss.drop.text)}")


_Kind = TypeVar("_Kind", Gate, Hose)


def _pieces(design: Design, kind: type[_Kind]) -> Iterator[tuple[Path, Run, _Kind]]:
    for i, run in enumerate(design.runs):
        yield from ((("run", i, "pieces", j), run, piece) for j, piece in enumerate(run.pieces) if isinstance(piece, kind))


def _outlet_pieces(design: Design, kind: type[_Kind]) -> Iterator[tuple[Path, _Kind]]:
    pieces = design.collector.outlet_pieces
    yield from ((("collector", "outlet_pieces", j), piece) for j, piece in enumerate(pieces) if isinstance(piece, kind))


_RUN_IDS = {"Design.run", "Run.id"}
_SIZES = {"Design.stock", "Stock.id", "Stock.kind", "Stock.size", "StockSize.nominal"}
_PORT_IDS = {"Design.machine", "Machine.id", "Machine.port", "Port.id"}
# Every rule, with what it cannot do without: where that could not be read the rule would blame what is right.
RULES: tuple[tuple[Callable[[Design], Breaches], set[str]], ...] = (
    (values, set()),
    (_sizes_of_lists, set()),
    (_speeds, {"Design.conveying", *(f"Conveying.{key}" for key in ("material", "slow_branch", "slow_main", "settles", "fast"))}),
    (_materials, set()),
    (_collector, {
        "Design.collector", *(f"Collector.{key}" for key in ("curve", "free_air", "max_suction", "basis", "outlet", "outlet_pieces", "discharge")),
    }),
    (_curve, {"CurvePoint.flow", "CurvePoint.pressure"}),
    (_gates_outside, set()),
    (_filter_states, set()),
    (walls, {"Design.site", "Site.room", "Corner.east", "Corner.north"}),
    (zones, {"Design.site", "Site.zone", "Site.height", *(f"Zone.{key}" for key in ("west", "east", "south", "north", "bottom", "top"))}),
    (zone_names, {"Design.site", "Site.zone", "Zone.name"}),
    (_walls, set()),
    (_bores, {"Run.size", "Run.bore", "Run.material"}),
    (_names, set()),
    (_gate_names, set()),
    (_references, _RUN_IDS | _SIZES | _PORT_IDS),
    (_open_machines, {"Design.machine", "Machine.id"}),
    (_throttled_gates, {"Design.run", "Run.pieces", "Gate.gate", "Throttle.gate"}),
    (tree, _RUN_IDS | {"Run.joins"}),
    (ways_of_joining, {"Run.as"}),
    (joints, _RUN_IDS | {"Run.joins", "Run.as"}),
    (lone_runs, _RUN_IDS | {"Run.joins", "Run.loss"}),
    (_ports, set()),
)  # fmt: skip

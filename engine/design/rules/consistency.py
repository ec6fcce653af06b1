"""The rules a design keeps beyond the shape of its fields: names, references and the tree of runs.

A design without mistakes can be compiled and solved. The network, the edits
and the session rely on that.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import TypeVar, cast

from engine import catalog
from engine.design import Design, Gate, GateSet, Hose, Machine, Port, Run, Stock, StockSize, ports_of, stock_sizes
from engine.design.kept import WHOLES, kept
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
from engine.design.rules.collector import collector, curves, filter_states, speeds
from engine.design.rules.record import accepted_findings, dates, own_limits, readings, record_names, store, tuned_ports
from engine.design.rules.room import mains, walls, zone_names, zones
from engine.design.rules.tree import COLLECTOR, joints, lone_runs, named, tree, ways_of_joining

__all__ = ["MOST_GATE_SETS", "MOST_RUNS", "Mistake", "mistakes", "nearest_word", "row_path"]

MOST_RUNS = 500
MOST_GATE_SETS = 64


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
    yield from _once_each(design.machines, design.stock, design.gate_sets)
    yield from _whole_names(("run",), design.runs)
    yield from _whole_beside_runs(design.machines, design.stock)
    for i, run in enumerate(design.runs):
        if run.id == COLLECTOR:
            yield Breach(("run", i, "id"), f'"{COLLECTOR}"', "another name: this one is the collector's")


@kept(WHOLES)
def _once_each(machines: tuple[Machine, ...], stocks: tuple[Stock, ...], gate_sets: tuple[GateSet, ...]) -> tuple[Breach, ...]:
    """Names of machines, stocks and gate sets, and of the ports and sizes of one."""
    found = list(unique(("machine",), "id", (machine.id for machine in machines)))
    found += unique(("stock",), "id", (stock.id for stock in stocks))
    found += unique(("gate_set",), "name", (gate_set.name for gate_set in gate_sets))
    for i, machine in enumerate(machines):
        found += unique(("machine", i, "port"), "id", (port.id for port in machine.ports))
    for i, stock in enumerate(stocks):
        found += unique(("stock", i, "size"), "nominal", (size.nominal for size in stock.sizes))
    return tuple(found)


@kept(WHOLES)
def _whole_beside_runs(machines: tuple[Machine, ...], stocks: tuple[Stock, ...]) -> tuple[Breach, ...]:
    found = [*_whole_names(("machine",), machines), *_whole_names(("stock",), stocks)]
    for i, machine in enumerate(machines):
        found += _whole_names(("machine", i, "port"), machine.ports)
    return tuple(found)


def _whole_names(path: Path, rows: Iterable[Run | Machine | Stock | Port]) -> Breaches:
    """Every id is whole: of two of them "machine/port" and "stock/nominal" are made, and reports tell a run from a port by the "/"."""
    for i, row in enumerate(rows):
        if row.id and "/" in row.id:
            yield Breach((*path, i, "id"), quoted(row.id), 'a name without "/"')


def _gate_names(design: Design) -> Breaches:
    run_of: dict[str, Run] = {}
    for path, run, piece in _pieces(design, Gate):
        if piece.name is not None and piece.name in run_of:
            yield Breach(
                (*path, "gate"), f"{quoted(piece.name)}, which a gate of {named(run_of[piece.name])} has already", "a name of its own for each gate"
            )
        run_of.setdefault(piece.name, run)


def _references(design: Design) -> Breaches:
    runs, sizes, ports = {run.id for run in design.runs}, stock_sizes(design), ports_of(design)
    for i, run in enumerate(design.runs):
        if run.joins != COLLECTOR:
            yield from _known(("run", i, "joins"), run.joins, runs, f'"{COLLECTOR}" or the id of a run')
        yield from _known(("run", i, "size"), run.size, sizes, 'a stock size, "stock/nominal"', nearest_size)
        yield from _known(("run", i, "ends"), run.ends, ports, 'a port, "machine/port"')
    hoses = _hoses(sizes)
    for path, piece in (*((path, piece) for path, _, piece in _pieces(design, Hose)), *_outlet_pieces(design, Hose)):
        where, wanted = (*path, "size"), 'a size of a hose, "stock/nominal"'
        if piece.size and piece.size in sizes and piece.size not in hoses:
            yield Breach(where, f"{quoted(piece.size)}, which is rigid pipe", wanted, nearest_size(piece.size, hoses))
        else:
            yield from _known(where, piece.size, hoses, wanted, nearest_size)


@kept(WHOLES)
def _hoses(sizes: Mapping[str, tuple[Stock, StockSize]]) -> frozenset[str]:
    return frozenset(name for name, (stock, _) in sizes.items() if stock.kind == "hose")


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
    wanted = one_of(pipes)
    yield from _known(("collector", "outlet_material"), design.collector.outlet_material, pipes, wanted)
    for i, stock in enumerate(design.stock):
        yield from _known(("stock", i, "material"), stock.material, pipes, wanted)
    for i, run in enumerate(design.runs):
        yield from _known(("run", i, "material"), run.material, pipes, wanted)


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


def _known(
    path: Path, name: str | None, known: Collection[str], wanted: str, nearest: Callable[[str, Iterable[str]], str] = nearest_word
) -> tuple[Breach, ...]:
    if name is None or name in known:
        return ()
    return (Breach(path, f"{quoted(name)}, which is not known", wanted, nearest(name, known)),)


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


def fitting_lengths(design: Design) -> Breaches:
    """A length of a fitting is given once, in one way."""
    for i, stock in enumerate(design.stock):
        path: Path = ("stock", i, "fitting_lengths")
        yield from unique(path, "of", (length.of for length in stock.fitting_lengths))
        for j, length in enumerate(stock.fitting_lengths):
            if (length.length is None) == (length.bores is None):
                found = "neither length nor bores" if length.length is None else "both length and bores"
                yield Breach((*path, j), found, "one of length and bores")


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


def _gates_outside(design: Design) -> Breaches:
    for path, _ in _outlet_pieces(design, Gate):
        yield Breach((*path, "gate"), "a gate in the duct outside", "gates in runs only: no gate set would open this one")


_Kind = TypeVar("_Kind", Gate, Hose)


def _pieces(design: Design, kind: type[_Kind]) -> Sequence[tuple[Path, Run, _Kind]]:
    return cast("Sequence[tuple[Path, Run, _Kind]]", _pieces_of(design.runs)[kind])


@kept(WHOLES)
def _pieces_of(runs: tuple[Run, ...]) -> Mapping[type, Sequence[tuple[Path, Run, Gate | Hose]]]:
    """The gates and the hoses of some runs, by kind."""
    found: dict[type, list[tuple[Path, Run, Gate | Hose]]] = {Gate: [], Hose: []}
    for i, run in enumerate(runs):
        for j, piece in enumerate(run.pieces):
            if isinstance(piece, (Gate, Hose)):
                found[type(piece)].append((("run", i, "pieces", j), run, piece))
    return found


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
    (speeds, {"Design.conveying", *(f"Conveying.{key}" for key in ("material", "slow_branch", "slow_main", "settles", "fast"))}),
    (_materials, set()),
    (collector, {
        "Design.collector", *(f"Collector.{key}" for key in ("curve", "free_air", "max_suction", "basis", "outlet", "outlet_pieces", "discharge")),
    }),
    (curves, {"CurvePoint.flow", "CurvePoint.pressure"}),
    (_gates_outside, set()),
    (filter_states, set()),
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
    (fitting_lengths, {"FittingLength.of", "FittingLength.length", "FittingLength.bores"}),
    (mains, {"Site.main_lowest", "Site.main_highest"}),
    (record_names, set()),
    (accepted_findings, {"Accepted.finding"}),
    (own_limits, {"OwnLimit.of", "OwnLimit.is"}),
    (readings, {f"Reading.{key}" for key in ("what", "value", "give_or_take", "at", "port", "test_point", "from_collector")}),
    (dates, set()),
    (tuned_ports, {"TunedPort.port"}),
    (store, {"Design.store", "Design.stock", "Stock.id"}),
)  # fmt: skip

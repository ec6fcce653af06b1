"""The rules a design keeps beyond the shape of its fields: names, references and the tree of runs.

A design without mistakes can be compiled and solved. The network, the edits
and the session rely on that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches

from engine import catalog
from engine.design import Design, Gate, Hose, Run, joins_as, ports_of, stock_sizes

MOST_RUNS = 500
MOST_GATE_SETS = 64
COLLECTOR = "collector"
FEWEST_POINTS = 2


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong: where (a key path), what was found, what is wanted, the nearest known word, the file's line."""

    where: str
    found: str
    wanted: str
    nearest: str = ""
    line: int | None = None

    def __str__(self) -> str:
        place = f"line {self.line}: " if self.line else ""
        where = f"{self.where}: " if self.where else ""
        hint = f" (nearest: {self.nearest})" if self.nearest else ""
        return f"{place}{where}{self.found}; wanted: {self.wanted}{hint}"

    def at_line(self, line: int | None) -> Mistake:
        """The same mistake with its line."""
        return replace(self, line=line)


def nearest_word(word: str, known: Iterable[str]) -> str:
    """The known word nearest to `word`, or nothing."""
    return next(iter(get_close_matches(word, list(known), n=1, cutoff=0.5)), "")


def row_path(key: str, name: str) -> str:
    """Key path of a named row of a list: run["main"]."""
    return f'{key}["{name}"]'


def mistakes(design: Design) -> tuple[Mistake, ...]:
    """Every rule the design breaks, in the order of its file; none when it can be solved."""
    return tuple(mistake for rule in RULES for mistake in rule(design))


Rule = Callable[[Design], Iterator[Mistake]]


def _sizes_of_lists(design: Design) -> Iterator[Mistake]:
    for key, rows, most in (("run", design.runs, MOST_RUNS), ("gate_set", design.gate_sets, MOST_GATE_SETS)):
        if len(rows) > most:
            yield Mistake(key, f"{len(rows)} of them", f"at most {most}")


def _names(design: Design) -> Iterator[Mistake]:
    yield from _unique("run", "id", [run.id for run in design.runs])
    yield from _unique("machine", "id", [machine.id for machine in design.machines])
    yield from _unique("stock", "id", [stock.id for stock in design.stock])
    yield from _unique("gate_set", "name", [gate_set.name for gate_set in design.gate_sets])
    for machine in design.machines:
        yield from _unique(f"{row_path('machine', machine.id)}.port", "id", [port.id for port in machine.ports])
    for stock in design.stock:
        yield from _unique(f"{row_path('stock', stock.id)}.size", "nominal", [size.nominal for size in stock.sizes])
    for key, rows in (("machine", design.machines), ("stock", design.stock)):
        for row in rows:
            if "/" in row.id:
                yield Mistake(f"{row_path(key, row.id)}.id", f'"{row.id}"', 'a name without "/"')
    for run in design.runs:
        if run.id == COLLECTOR:
            yield Mistake(f"{row_path('run', run.id)}.id", f'"{COLLECTOR}"', "another name: this one is the collector's")
    gates = Counter(piece.name for run in design.runs for piece in run.pieces if isinstance(piece, Gate))
    for run, i, piece in _pieces(design, Gate):
        if gates[piece.name] > 1:
            yield Mistake(f"{_piece_path(run, i)}.gate", f'"{piece.name}", {gates[piece.name]} times', "a name of its own for each gate")


def _unique(key: str, field: str, names: list[str]) -> Iterator[Mistake]:
    for name, times in Counter(names).items():
        if times > 1:
            yield Mistake(f"{row_path(key, name)}.{field}", f'"{name}", {times} times', "a name of its own for each")


def _references(design: Design) -> Iterator[Mistake]:
    runs = [run.id for run in design.runs]
    sizes, ports = stock_sizes(design), ports_of(design)
    for run in design.runs:
        path = row_path("run", run.id)
        if run.joins != COLLECTOR:
            yield from _known(f"{path}.joins", run.joins, runs, '"collector" or the id of a run')
        if run.size is not None:
            yield from _known(f"{path}.size", run.size, sizes, 'a stock size, "stock/nominal"')
        if run.ends is not None:
            yield from _known(f"{path}.ends", run.ends, ports, 'a port, "machine/port"')
    for run, i, piece in _pieces(design, Hose):
        if piece.size is not None:
            where = f"{_piece_path(run, i)}.size"
            yield from _known(where, piece.size, sizes, 'a size of a hose, "stock/nominal"')
            if piece.size in sizes and sizes[piece.size][0].kind != "hose":
                yield Mistake(where, f'"{piece.size}", which is rigid pipe', "a size of a hose")
    machines = [machine.id for machine in design.machines]
    for gate_set in design.gate_sets:
        for name in gate_set.open:
            yield from _known(f"{row_path('gate_set', gate_set.name)}.open", name, machines, "the id of a machine")


def _materials(design: Design) -> Iterator[Mistake]:
    if design.conveying.material is not None:
        yield from _known("conveying.material", design.conveying.material, catalog.conveyed_materials(), "one of the catalog's loads")
    pipes = [(row_path("stock", stock.id), stock.material) for stock in design.stock]
    pipes += [(row_path("run", run.id), run.material) for run in design.runs if run.material is not None]
    for path, material in pipes:
        yield from _known(f"{path}.material", material, catalog.pipe_materials(), "one of the catalog's pipe materials")


def _known(where: str, name: str, known: Iterable[str], wanted: str) -> Iterator[Mistake]:
    known = list(known)
    if name not in known:
        yield Mistake(where, f'"{name}", which is not known', wanted, nearest_word(name, known))


def _bores(design: Design) -> Iterator[Mistake]:
    for run in design.runs:
        path = row_path("run", run.id)
        if (run.size is None) == (run.bore is None):
            found = "neither size nor bore" if run.size is None else "both size and bore"
            yield Mistake(path, found, "either size, or bore with material")
        elif run.bore is not None and run.material is None:
            yield Mistake(f"{path}.bore", "bore without material", "the pipe's material too")
        elif run.size is not None and run.material is not None:
            yield Mistake(f"{path}.material", "material beside size", "material only with bore")
    for stock in design.stock:
        for size in stock.sizes:
            if size.outside is not None and size.outside.si <= size.bore.si:
                where = f"{row_path('stock', stock.id)}.{row_path('size', size.nominal)}.outside"
                yield Mistake(where, f'"{size.outside.text}"', f"more than the bore, {size.bore.text}")


def _tree(design: Design) -> Iterator[Mistake]:
    roots = [run for run in design.runs if run.joins == COLLECTOR]
    for run in roots[1:]:
        yield Mistake(f"{row_path('run', run.id)}.joins", f'"collector", which "{roots[0].id}" joins already', "one run at the collector")
    if design.runs and not roots:
        yield Mistake("run", "no run joins the collector", 'one run with joins = "collector"')
    parents = {run.id: run.joins for run in design.runs}
    seen: set[str] = set()
    for run in design.runs:
        way: list[str] = []
        at = run.id
        while at in parents and at not in seen:
            seen.add(at)
            way.append(at)
            at = parents[at]
        if at in way:
            loop = way[way.index(at) :]
            names = ", ".join(f'"{name}"' for name in loop)
            yield Mistake(f"{row_path('run', at)}.joins", f"a loop: {names} join one another in a ring", "runs that lead to the collector")


def _joints(design: Design) -> Iterator[Mistake]:
    meeting: dict[str, list[Run]] = {}
    for run in design.runs:
        meeting.setdefault(run.joins, []).append(run)
    for run in design.runs:
        path, kind = row_path("run", run.id), joins_as(run)
        if run.joins == COLLECTOR and kind != "straight":
            yield Mistake(f"{path}.as", f'"{kind}" at the collector', "straight")
        if kind == "straight":
            for key, value in (("angle", run.angle), ("toward", run.toward)):
                if value is not None:
                    yield Mistake(f"{path}.{key}", f"{key} of a run that joins straight on", f'{key} only with as = "branch" or "leg"')
        if run.ends is not None and run.id in meeting:
            yield Mistake(f"{path}.ends", f'a port, where "{meeting[run.id][0].id}" joins too', "either a port or runs at its end: give the port a run of its own")
    for parent, runs in meeting.items():
        if parent == COLLECTOR:
            continue
        straight = [run for run in runs if joins_as(run) == "straight"]
        legs = [run for run in runs if joins_as(run) == "leg"]
        for run in straight[1:]:
            yield Mistake(f"{row_path('run', run.id)}.as", f'straight, like "{straight[0].id}"', "at most one straight at a joint")
        if legs and (len(legs) != 2 or len(runs) != 2):
            yield Mistake(f"{row_path('run', legs[0].id)}.as", f'{len(legs)} of {len(runs)} runs at the end of "{parent}" are legs', "two legs and nothing else at a Y")


def _ports(design: Design) -> Iterator[Mistake]:
    taken: dict[str, str] = {}
    for run in design.runs:
        if run.ends is not None and run.ends in taken:
            yield Mistake(f"{row_path('run', run.id)}.ends", f'"{run.ends}", where "{taken[run.ends]}" ends already', "a port of its own")
        elif run.ends is not None:
            taken[run.ends] = run.id
    for name, (machine, port) in ports_of(design).items():
        if port.loss is not None and port.suction is not None:
            where = f"{row_path('machine', machine.id)}.{row_path('port', port.id)}"
            yield Mistake(where, "both loss and suction", "one of them")


def _collector(design: Design) -> Iterator[Mistake]:
    collector = design.collector
    flows = [point.flow.si for point in collector.curve]
    if collector.curve:
        if collector.free_air is not None:
            yield Mistake("collector.free_air", "free_air beside a curve", "one of them")
        if len(flows) < FEWEST_POINTS:
            yield Mistake("collector.curve", f"{len(flows)} point", f"at least {FEWEST_POINTS}")
        for i, (before, flow) in enumerate(zip(flows, flows[1:]), 1):
            if flow <= before:
                point = collector.curve[i].flow.text
                yield Mistake(f"collector.curve[{i}].flow", f'"{point}" after "{collector.curve[i - 1].flow.text}"', "flows that rise")
        if not any(point.pressure.si > 0 for point in collector.curve):
            yield Mistake("collector.curve", "no pressure at any flow", "pressures above 0")
    elif collector.free_air is None:
        yield Mistake("collector", "neither curve nor free_air", "a curve, or free_air with max_suction")
    if collector.free_air is not None and collector.max_suction is None:
        yield Mistake("collector.free_air", "free_air without max_suction", "the largest suction too: free air alone fixes no pressure")
    if collector.max_suction is not None and collector.free_air is None:
        yield Mistake("collector.max_suction", "max_suction without free_air", "free_air too")
    if collector.basis == "fan total" and collector.outlet is None:
        yield Mistake("collector.basis", '"fan total" without outlet', "the bore of the outlet too")


def _speeds(design: Design) -> Iterator[Mistake]:
    own = design.conveying
    if own.material is not None and own.material not in catalog.conveyed_materials():
        return
    row = catalog.conveyed(own.material or catalog.conveyed_materials()[0])
    named = [("settles", own.settles, row.settles), ("slow_main", own.slow_main, row.slow_main), ("fast", own.fast, row.fast)]
    speeds = [(key, typed.si if typed else default) for key, typed, default in named]
    for (low, slower), (high, faster) in zip(speeds, speeds[1:]):
        if slower > faster:
            yield Mistake(f"conveying.{low}", f"{slower:.3g} m/s, faster than {high}", f"at most {high}, {faster:.3g} m/s")
    branch = own.slow_branch.si if own.slow_branch else row.slow_branch
    if branch > speeds[-1][1]:
        yield Mistake("conveying.slow_branch", f"{branch:.3g} m/s, faster than fast", f"at most {speeds[-1][1]:.3g} m/s")


def _pieces(design: Design, kind: type) -> Iterator[tuple[Run, int, object]]:
    return ((run, i, piece) for run in design.runs for i, piece in enumerate(run.pieces) if isinstance(piece, kind))


def _piece_path(run: Run, index: int) -> str:
    return f"{row_path('run', run.id)}.pieces[{index}]"


RULES: tuple[Rule, ...] = (_sizes_of_lists, _speeds, _materials, _collector, _bores, _names, _references, _tree, _joints, _ports)

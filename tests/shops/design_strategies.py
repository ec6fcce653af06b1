"""Designs of every shape that keeps the rules, for hypothesis. Invented data."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from engine.design import (
    FITTINGS,
    Cleanout,
    Collector,
    CollectorLoss,
    Corner,
    CurvePoint,
    Design,
    Elbow,
    FittingLength,
    Gate,
    GateSet,
    Hose,
    Machine,
    OwnLoss,
    Port,
    Run,
    Site,
    Stock,
    StockSize,
    Straight,
    Throttle,
    Zone,
)  # fmt: skip
from engine.design.entries import Entry, entries
from engine.units import Quantity, parse
from tests.shops.record_strategies import records
from tests.shops.value_strategies import IDS, NAMES, items, quantities, values


@st.composite
def collectors(draw: st.DrawFn, duct: tuple) -> Collector:
    """Collectors with a curve or an estimate, and with a duct outside or none."""
    losses = tuple(draw(st.lists(items(CollectorLoss), max_size=2)))
    table = entries(Collector)
    given = {"losses": losses, "outlet": draw(quantities(table["outlet"])), "outlet_pieces": duct} | ({"discharge": "outside"} if duct else {})
    if draw(st.booleans()):
        return draw(items(Collector, **given, **{key: draw(quantities(table[key])) for key in ("free_air", "max_suction")}))
    points = draw(st.lists(items(CurvePoint), min_size=2, max_size=4, unique_by=lambda point: point.flow.si))
    points.sort(key=lambda point: point.flow.si)
    points[0] = CurvePoint(flow=points[0].flow, pressure=parse("2,5 kPa", "pressure"))
    return draw(items(Collector, curve=tuple(points), **given))


@st.composite
def _sizes(draw: st.DrawFn) -> StockSize:
    bore = draw(quantities(entries(StockSize)["bore"]).filter(lambda bore: bore.si < 1.9))
    outside = parse(f"{1000 * bore.si + 2:.3g} mm", "bore") if bore.si < 0.9 else None
    return draw(items(StockSize, bore=bore, outside=draw(st.sampled_from([None, outside]))))


@st.composite
def _stock(draw: st.DrawFn, name: str, kind: str) -> Stock:
    sizes = draw(st.lists(_sizes(), min_size=1, max_size=2, unique_by=lambda size: size.nominal))
    of = draw(st.lists(st.sampled_from(FITTINGS), max_size=2, unique=True))
    both = ({"length": parse("8 cm", "length")}, {"bores": 1.5})
    lengths = tuple(draw(items(FittingLength, of=kind, **draw(st.sampled_from(both)))) for kind in of)
    return draw(items(Stock, id=name, kind=kind, sizes=tuple(sizes), fitting_lengths=lengths))


@st.composite
def _ports(draw: st.DrawFn) -> Port:
    table = entries(Port)
    either = draw(st.sampled_from(["loss", "suction", None]))
    return draw(items(Port, **{either: draw(values(table[either]))} if either else {}))


@st.composite
def pieces(draw: st.DrawFn, hoses: list[str], gate: str | None) -> tuple:
    """Pieces of a run, the gate the last of them."""
    size = draw(st.sampled_from([None, *hoses]))
    kinds = [items(Straight), items(Elbow), items(Hose, size=size), items(Cleanout), items(OwnLoss)]
    made = draw(st.lists(st.one_of(kinds), max_size=3))
    return (*made, draw(items(Gate, name=gate))) if gate else tuple(made)


@st.composite
def _runs(draw: st.DrawFn, names: list[str], sizes: list[str], hoses: list[str], ports: list[str]) -> tuple[Run, ...]:
    """A tree in any order of its runs: at each joint one run straight on and branches, or two legs."""
    table = entries(Run)
    parents = [None, *(draw(st.integers(0, i - 1)) for i in range(1, len(names)))]
    runs = []
    for i, name in enumerate(names):
        beside = [j for j, parent in enumerate(parents) if parent == parents[i]]
        kind = "leg" if len(beside) == 2 and parents[i] % 2 else "straight" if i == beside[0] else "branch"
        given: dict[str, Any] = {"joins": names[parents[i]] if i else "collector", "as_": kind}
        if kind != "straight":
            given |= {key: draw(st.one_of(st.none(), values(table[key]))) for key in ("angle", "toward")}
        elif draw(st.booleans()):
            given["as_"] = None
        own = {key: draw(values(table[key])) for key in ("bore", "material")}
        given |= draw(st.sampled_from([own, *({"size": size} for size in sizes)]))
        if i not in parents and ports and draw(st.booleans()):
            given["ends"] = ports.pop()
        gate = f"gate {i}" if draw(st.booleans()) else None
        if len(beside) == 1:
            given["loss"] = draw(st.one_of(st.none(), st.floats(0.0, 5.0)))
        runs.append(draw(items(Run, id=name, pieces=draw(pieces(hoses, gate)), **given)))
    return tuple(draw(st.permutations(runs)))


@st.composite
def _sites(draw: st.DrawFn) -> Site:
    """Sites with walls, whose corners lie round a middle, and with zones; either may be missing."""
    axis = entries(Corner)["east"]
    west, east = draw(_sides(axis))
    south, north = draw(_sides(axis))
    corners = [(west, south), (east, south), (east, north), (west, north)]
    room = tuple(Corner(east=x, north=y) for x, y in corners[: draw(st.sampled_from([0, 3, 4]))])
    names = draw(st.lists(NAMES, max_size=2, unique=True))
    lowest, highest = draw(_sides(entries(Site)["main_lowest"]))
    mains = draw(st.sampled_from([{}, {"main_lowest": lowest}, {"main_lowest": lowest, "main_highest": highest}]))
    return draw(items(Site, **mains, room=room, zones=tuple(draw(_zones(name)) for name in names), height=None))


@st.composite
def _zones(draw: st.DrawFn, name: str) -> Zone:
    (west, east), (south, north), (bottom, top) = (draw(_sides(entries(Zone)[key])) for key in ("west", "south", "bottom"))
    heights = draw(st.sampled_from([{}, {"bottom": bottom, "top": top}, {"bottom": bottom}]))
    return draw(items(Zone, name=name, west=west, east=east, south=south, north=north, **{"bottom": None, "top": None, **heights}))


def _sides(entry: Entry) -> st.SearchStrategy[list[Quantity]]:
    """A lower and a higher quantity of an entry."""
    pairs = st.lists(quantities(entry), min_size=2, max_size=2, unique_by=lambda made: made.si)
    return pairs.map(lambda pair: sorted(pair, key=lambda made: made.si))


@st.composite
def designs(draw: st.DrawFn) -> Design:
    """Designs that keep every rule."""
    ids = draw(st.lists(IDS, min_size=2, max_size=3, unique=True))
    stock = tuple(draw(_stock(name, "pipe" if i == 0 else "hose")) for i, name in enumerate(ids))
    ids = draw(st.lists(IDS, max_size=3, unique=True))
    some_ports = st.lists(_ports(), max_size=2, unique_by=lambda port: port.id)
    machines = tuple(draw(items(Machine, id=name, ports=tuple(draw(some_ports)))) for name in ids)
    hoses = [f"{row.id}/{size.nominal}" for row in stock if row.kind == "hose" for size in row.sizes]
    ports = [f"{machine.id}/{port.id}" for machine in machines for port in machine.ports]
    names = draw(st.lists(IDS, max_size=5, unique=True))
    runs = draw(_runs(names, [f"{row.id}/{size.nominal}" for row in stock for size in row.sizes], hoses, ports)) if names else ()
    gates = [piece.name for run in runs for piece in run.pieces if isinstance(piece, Gate)]
    sets = []
    for name in draw(st.lists(NAMES, max_size=2, unique=True)):
        part_open = draw(st.lists(st.sampled_from(gates), unique=True)) if gates else ()
        throttle = tuple(draw(items(Throttle, gate=gate)) for gate in part_open)
        working = draw(st.lists(st.sampled_from(ids), unique=True)) if ids else ()
        sets.append(draw(items(GateSet, name=name, open=tuple(working), throttle=throttle)))
    tables = {
        name: draw(items(entry.item))
        for name, entry in entries(Design).items()
        if entry.kind == "table" and name not in ("collector", "site", "tuned")
    }
    tables["site"] = draw(_sites())
    collector = draw(collectors(draw(pieces(hoses, None))))
    store = draw(st.sampled_from([None, "store.toml"]))
    return draw(
        items(Design, store=store, collector=collector, stock=stock, machines=machines, runs=runs, gate_sets=tuple(sets), **tables, **draw(records()))
    )

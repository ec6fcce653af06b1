"""The things in the ducts pane, made from a design and its assessment: a tree of nodes, not yet rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from engine.air.fan import loss_now
from engine.air.one.balance import Balance
from engine.checks.assess import Assessment
from engine.design import (
    CollectorLoss,
    Design,
    Machine,
    Run,
    Site,
    Stock,
    StockSize,
    bore_of,
    children_of,
    defaults,
    gate_sets_of,
    joins_as,
    stock_sizes,
    system,
)  # fmt: skip
from engine.design.differences import brief
from engine.design.kept import ROWS, WHOLES, kept
from engine.design.meaning import work_in_words, work_on
from engine.design.places import (
    COLLECTOR,
    CONVEYING,
    CURVE,
    DESIGN,
    GATE_SETS,
    LEAKAGE,
    LOSSES,
    MACHINES,
    OUTLET,
    ROOM,
    SITE,
    STOCK,
    ZONES,
    EndOf,
    GateSetAt,
    JointOf,
    MachineAt,
    OfRun,
    PieceAt,
    Place,
    PortAt,
    Rows,
    RunAt,
    SizeAt,
    StockAt,
    ports_at,
    whole,
)
from engine.units import number_text, show
from engine.units.ranges import range_text
from engine.units.words import percent
from engine.values import dataclass
from tui.panes.tree.labels import joint_label, piece_label, with_state
from tui.panes.tree.node import Node, heading, leaves
from tui.panes.tree.records import point_label, records
from tui.work.edits.marks import MARKS, verdict, worst_by_place

_NO_MARK = " "


@dataclass(frozen=True, slots=True)
class _Look:
    """What the nodes are made from; `places` is the index of each run, `ports` the place of each port, `worst` the worst finding about each place."""

    design: Design
    assessment: Assessment | None
    index: int
    system: str
    children: Mapping[str, tuple[Run, ...]]
    sizes: Mapping[str, tuple[Stock, StockSize]]
    places: Mapping[str, int]
    ports: Mapping[str, PortAt]
    worst: Mapping[Place, str]

    @property
    def balance(self) -> Balance | None:
        """The gate set shown, solved; None where there is no answer."""
        return self.assessment.sets[self.index].balance if self.assessment else None

    def show(self, value: float, dimension: str) -> str:
        return show(value, dimension, self.system)

    def mark(self, place: Place) -> str:
        """Mark of the worst finding about a place; none for what was not assessed."""
        return MARKS[verdict(self.worst.get(place, ""))] if self.assessment else ""

    def alarm(self, place: Place) -> str:
        """As `mark`, but nothing where all is well."""
        mark = self.mark(place)
        return "" if mark == "ok" else mark

    def alarms(self, places: Iterable[Place]) -> str:
        """As `alarm`, of several places in one text, a character each."""
        return "".join([(place in self.worst and self.alarm(place)) or _NO_MARK for place in places])


def worst_findings(assessment: Assessment, index: int) -> dict[Place, str]:
    """Worst standing, fault, caution or accepted, by the place it is about, in the gate set at `index`; a run's with those of its pieces."""
    name = assessment.sets[index].gate_set.name
    worst: dict[Place, str] = {}
    for place, standing in worst_by_place(assessment.findings, name):
        for known in {place, whole(place)} if isinstance(place, OfRun) else {place}:
            worst.setdefault(known, standing)
    return worst


def tree(design: Design, assessment: Assessment | None, index: int) -> tuple[Node, ...]:
    """Every thing of a design: its ducts with their state in the gate set at `index`, then what they are made from."""
    worst = worst_findings(assessment, index) if assessment else {}
    places = {run.id: at for at, run in enumerate(design.runs)}
    look = _Look(design, assessment, index, system(design), children_of(design), stock_sizes(design), places, ports_at(design), worst)
    return (
        _collector(look),
        heading(MACHINES, "machines", tuple(_machine(item, at, look.system, _of_ports(look, at, item)) for at, item in enumerate(design.machines))),
        heading(STOCK, "stock", tuple(_stock(item, at, look.system, _of_sizes(look, at, item)) for at, item in enumerate(design.stock))),
        heading(GATE_SETS, "gate sets", tuple(_gate_sets(look))),
        _site(design.site, look.system),
        Node(LEAKAGE, ("leakage",), "leakage: " + _leakage(design)),
        Node(CONVEYING, ("conveying",), "conveyed: " + (design.conveying.material or defaults.LOAD)),
        Node(DESIGN, ("design",), "design: " + design.name, tuple(records(look.design)), folded=True),
    )


@kept(WHOLES)
def _site(site: Site, units: str) -> Node:
    corners = [f"{show(corner.east.si, 'length', units)} east, {show(corner.north.si, 'length', units)} north" for corner in site.room]
    zones = [f"{zone.name} ({zone.kind or 'keep clear'})" for zone in site.zones]
    walls = heading(ROOM, "walls", leaves(ROOM, corners))
    held = heading(ZONES, "zones", leaves(ZONES, zones))
    return Node(SITE, ("site",), "site: air and room", (walls, held), folded=True)


def _leakage(design: Design) -> str:
    """What leaks, in a few words."""
    tightness, gap = design.leakage.tightness, design.leakage.shut_gate
    leaks = [f"ducts of class {tightness}"] if tightness else []
    leaks += ["shut gates"] if gap else []
    return ", ".join(leaks) or "none"


def _collector(look: _Look) -> Node:
    collector, balance = look.design.collector, look.balance
    points = [point_label(point, look.system) for point in collector.curve]
    losses = [_loss_label(look, loss) for loss in collector.losses]
    curve = heading(CURVE, "curve points", leaves(CURVE, points))
    taken = heading(LOSSES, "losses", leaves(LOSSES, losses))
    held = [curve, taken]
    if collector.discharge == "outside" and collector.outlet:
        pieces = [piece_label(piece, look.system) for piece in collector.outlet_pieces]
        held.append(heading(OUTLET, "duct to the outside", leaves(OUTLET, pieces)))
    runs = tuple(_runs(look))
    state = (f"{look.show(balance.collector_pressure, 'pressure')} total", look.show(balance.flow, "flow")) if balance else ()
    return Node(COLLECTOR, ("collector",), "collector", (*held, *runs), state, look.mark(COLLECTOR))


def _loss_label(look: _Look, loss: CollectorLoss) -> str:
    """A loss and what it costs in the present state of the filter, which is named where it counts."""
    collector = look.design.collector
    state = f" {collector.filter or defaults.FILTER}" if loss.clean or loss.dirty else ""
    return f"{loss.name}{state} {look.show(loss_now(collector, loss), 'pressure')}"


def _runs(look: _Look) -> Iterator[Node]:
    """The runs at the collector, with all beyond them. Made from the far ends inward: a chain may be longer than calls may nest."""
    outward = list(look.children["collector"])
    for run in outward:
        outward += look.children[run.id]
    made: dict[str, Node] = {}
    for run in reversed(outward):
        made[run.id] = _run(look, run, tuple(made[child.id] for child in look.children[run.id]))
    return (made[run.id] for run in look.children["collector"])


def _run(look: _Look, run: Run, beyond: tuple[Node, ...]) -> Node:
    at = look.places[run.id]
    state = look.balance.runs.get(run.id) if look.balance else None
    shut = state is not None and not state.carries
    pieces = len(run.pieces)
    marks = look.alarms(PieceAt(at, i) for i in range(pieces)) if RunAt(at) in look.worst else _NO_MARK * pieces
    label, bore, parts = _as_made(run, at, look.sizes, look.system, marks, shut)
    end = (_end(look, at, run, run.ends, shut),) if run.ends else ()
    speed = "" if state is None else "shut" if shut else number_text(state.velocity, "speed", look.system)
    mark = "-" if shut else look.mark(RunAt(at))
    return Node(RunAt(at), ("runs", run.id), label, (*parts, *end, *beyond), (bore, speed), mark, shut)


@kept(ROWS)
def _as_made(
    run: Run, at: int, sizes: Mapping[str, tuple[Stock, StockSize]], units: str, marks: str, shut: bool
) -> tuple[str, str, tuple[Node, ...]]:
    """The label of the run at index `at`, its bore, and its joint and pieces, with a mark for each piece."""
    joint = (Node(JointOf(at), ("runs", run.id, "joint"), joint_label(run, units), shut=shut),) if joins_as(run) != "straight" else ()
    pieces = (
        Node(
            PieceAt(at, i), ("runs", run.id, str(i)), with_state(piece_label(piece, units), work_on(run, piece), work_on(run)),
            mark=mark.strip(_NO_MARK), shut=shut,
        )
        for i, (piece, mark) in enumerate(zip(run.pieces, marks, strict=True))
    )  # fmt: skip
    return with_state(run.id, work_in_words(run)), number_text(bore_of(run, sizes), "bore", units), (*joint, *pieces)


def _end(look: _Look, at: int, run: Run, ends: str, shut: bool) -> Node:
    port, port_at = look.balance.ports.get(ends) if look.balance else None, look.ports[ends]
    label, mark = ends, look.alarm(port_at)
    if port is not None:
        needs = look.show(port.needs, "flow")
        label = f"{ends} {number_text(port.flow, 'flow', look.system)} of {needs}"
        mark = look.mark(port_at)
    return Node(EndOf(at), ("runs", run.id, "end"), label, mark=mark, shut=shut)


def _of_ports(look: _Look, at: int, machine: Machine) -> str:
    """A mark for each port of the machine at index `at`."""
    return look.alarms(PortAt(at, i) for i in range(len(machine.ports)))


@kept(ROWS)
def _machine(machine: Machine, at: int, units: str, marks: str) -> Node:
    ports = tuple(
        Node(
            PortAt(at, i), ("machines", machine.id, port.id),
            f"{port.id} {show(port.bore.si, 'bore', units)}, needs {range_text(port.needs, 'flow', units)}", mark=mark.strip(_NO_MARK),
        )
        for i, (port, mark) in enumerate(zip(machine.ports, marks, strict=True))
    )  # fmt: skip
    return Node(MachineAt(at), ("machines", machine.id), machine.id, ports)


def _of_sizes(look: _Look, at: int, stock: Stock) -> str:
    """A mark for each size of the stock at index `at`."""
    return look.alarms(SizeAt(at, i) for i in range(len(stock.sizes)))


@kept(ROWS)
def _stock(stock: Stock, at: int, units: str, marks: str) -> Node:
    sizes = tuple(
        Node(
            SizeAt(at, i), ("stock", stock.id, size.nominal), f"{size.nominal}, bore {show(size.bore.si, 'bore', units)}", mark=mark.strip(_NO_MARK)
        )
        for i, (size, mark) in enumerate(zip(stock.sizes, marks, strict=True))
    )  # fmt: skip
    lengths = Rows(StockAt(at), "fitting_lengths")
    own = (heading(lengths, "lengths of fittings", leaves(lengths, [brief(length) for length in stock.fitting_lengths])),)
    return Node(StockAt(at), ("stock", stock.id), f"{stock.id}: {stock.material}", (*sizes, *(own if stock.fitting_lengths else ())), folded=True)


def _gate_sets(look: _Look) -> Iterator[Node]:
    written = bool(look.design.gate_sets)
    for at, gate_set in enumerate(gate_sets_of(look.design)):
        mark, columns = "", tuple[str, ...]()
        if look.assessment:
            result = look.assessment.sets[at]
            mark = MARKS[verdict(look.assessment.worst(result))]
            columns = (look.show(result.balance.flow, "flow"),) if result.balance else ()
        if written:
            label = gate_set.name + (" (shown)" if at == look.index else "")
            throttled = [f"{throttle.gate} open {percent(throttle.open)}%" for throttle in gate_set.throttle]
            held = leaves(Rows(GateSetAt(at), "throttle"), throttled)
            yield Node(GateSetAt(at), ("gate sets", gate_set.name), label, held, columns=columns, mark=mark)

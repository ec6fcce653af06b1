"""The results tab "where": what takes the suction on the way from a port to the collector, largest first."""

from __future__ import annotations

from engine import edits
from engine.air.one.balance import PartLoss, way
from engine.design.places import EndOf, JointOf, PieceAt, Place, RunAt
from engine.units import number_text, show, unit_name
from tui.draw.charts import bar
from tui.draw.lines import Line, cut, line, spread, wrapped
from tui.panes.item import Cells, Item, Table
from tui.panes.results.view import View


def ports(view: View) -> tuple[str, ...]:
    """The open ports of the gate set shown that draw air."""
    balance = view.result.balance
    return tuple(port for port, state in balance.ports.items() if state.flow > 0) if balance else ()


def port_shown(view: View) -> str | None:
    """The port whose way is shown: the one asked for, else the selected one, else the neediest."""
    known = ports(view)
    neediest = view.assessment.neediest(view.result)
    ends = view.run.ends if view.run else None
    wanted = (view.port, ends, *view.selected_ports, neediest[0] if neediest else None, *known)
    return next((port for port in wanted if port in known), None)


def next_port(view: View, by: int) -> str | None:
    """The port so many behind the one shown, round and round; None where there is none."""
    known, shown = ports(view), port_shown(view)
    return None if shown is None else known[(known.index(shown) + by) % len(known)]


def items(view: View) -> list[Item]:
    """The port, then what its air meets, largest first; Enter on a row selects that part."""
    port, balance = port_shown(view), view.result.balance
    if port is None or balance is None:
        return [Item(tuple(wrapped("no open port draws air in this gate set", view.width, "dim")))]
    losses = gathered(way(view.assessment.tree, balance, port))
    largest = max((abs(drop) for _, _, drop in losses), default=0.0)
    total = show(balance.collector_pressure, "pressure", view.units)
    choice = "[ ] port" if len(ports(view)) > 1 else ""
    head = spread(line((port, "value"), f": {total} total"), line((f" {choice}", "dim")), view.width, view.glyphs)
    rows = [_row(view, run, part, drop, largest) for run, part, drop in losses]
    return [Item((head,), cells=rows[0].cells if rows else ()), *rows]


def table(view: View) -> Table:
    """What the air meets on its way from the port shown, largest first."""
    port, balance, unit = port_shown(view), view.result.balance, unit_name("pressure", view.units)
    if port is None or balance is None:
        return []
    losses = gathered(way(view.assessment.tree, balance, port))
    return [("run", f"part on the way from {port}", f"loss [{unit}]"), *(_cells(view, *loss) for loss in losses)]


def _cells(view: View, run: str, part: str | int, drop: float) -> Cells:
    return run, label_of_part(view, run, part), number_text(drop, "pressure", view.units)


def gathered(losses: tuple[PartLoss, ...]) -> list[tuple[str, str | int, float]]:
    """(run, part, Pa), one row a part, largest first; parts that take nothing are left out."""
    sums: dict[tuple[str, str | int], float] = {}
    for loss in losses:
        sums[loss.run, loss.part] = sums.get((loss.run, loss.part), 0.0) + loss.drop
    rows = [(run, part, drop) for (run, part), drop in sums.items() if drop]
    return sorted(rows, key=lambda row: -row[2])


def place_of_part(view: View, run: str, part: str | int) -> Place:
    """The place of a part of a run."""
    at = next(at for at, known in enumerate(view.design.runs) if known.id == run)
    if part == "joint":
        return JointOf(at) if (view.design.runs[at].as_ or "straight") != "straight" else RunAt(at)
    return EndOf(at) if isinstance(part, str) else PieceAt(at, part)


def label_of_part(view: View, run: str, part: str | int) -> str:
    """A part in a few words."""
    if part == "joint":
        return f"joint of {run}"
    if part == "port":
        return next(known.ends or "port" for known in view.design.runs if known.id == run)
    return edits.label(view.design, place_of_part(view, run, part))


def _row(view: View, run: str, part: str | int, drop: float, largest: float) -> Item:
    number = f"{number_text(drop, 'pressure', view.units):>6} {unit_name('pressure', view.units)} "
    cells = max(6, view.width // 5)
    drawn = f"{bar(drop / largest if largest else 0.0, cells, view.glyphs):<{cells}} "
    room = view.width - len(number) - len(drawn)
    row: Line = line(number, (drawn, "bar"), cut(label_of_part(view, run, part), room, view.glyphs))
    return Item((row,), place_of_part(view, run, part), cells=_cells(view, run, part, drop))

"""The results tab "where": the suction along the way from a port to the collector, and what takes it, largest first."""

from __future__ import annotations

from engine import edits
from engine.air.one.balance import Balance, PartLoss, way
from engine.checks.assess import Assessment
from engine.design import Hose, Straight, bore_of, stock_sizes
from engine.design.meaning import pipe_stock
from engine.design.places import EndOf, JointOf, PieceAt, Place, RunAt
from engine.space.lay import length_of
from engine.units import number_text, show, unit_name
from tui.draw.charts import SMALLEST, Curve, Points, Spot, bar, plot
from tui.draw.lines import Line, cut, line, spread, wrapped
from tui.panes.item import Cells, Item, Table
from tui.panes.results.view import View, axis_of

# Rows of the chart at the least and the most, and how many of what takes the suction stay in sight below; cells of a bar at the least.
_LOWEST, _TALLEST, _FEWEST_ROWS, _BAR = 6, 14, 8, 6


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
    names = max((len(label_of_part(view, run, part)) for run, part, _ in losses), default=0)
    rows = [_row(view, run, part, drop, largest, names) for run, part, drop in losses]
    return [Item((head, *_profile(view, port, balance, len(rows))), cells=rows[0].cells if rows else ()), *rows]


def _profile(view: View, port: str, balance: Balance, rows: int) -> list[Line]:
    """The suction along the way, where there is room for it above the rows: from the port to the collector across, what was lost by then up."""
    height = min(view.height - min(rows, _FEWEST_ROWS) - 1, _TALLEST)
    if view.width < SMALLEST[0] or height < _LOWEST:
        return []
    points, fittings = profile(view.assessment, balance, port)
    end, total = points[-1]
    if end <= 0 or total <= 0:
        return []
    across, up = axis_of(view, "length", end), axis_of(view, "pressure", max(lost for _, lost in points))
    spots = [Spot(at, "asked", "value", under=True) for at in fittings]
    chart = plot((Curve("suction", points, "supply"),), spots, across, up, view.width, height, view.glyphs)
    mark = view.glyphs.marks["asked"]
    return [*chart, *wrapped(f"from the port to the collector; {mark} a fitting, gate, joint or port", view.width, "dim")]


def profile(assessment: Assessment, balance: Balance, port: str) -> tuple[Points, Points]:
    """The way from a port to the collector: m of duct and Pa of total pressure lost behind each part; and those of all but pipe and hose."""
    runs, sizes = {run.id: run for run in assessment.design.runs}, stock_sizes(assessment.design)
    along = lost = 0.0
    points, fittings = [(0.0, 0.0)], []
    for loss in way(assessment.tree, balance, port):
        run = runs[loss.run]
        piece = run.pieces[loss.part] if isinstance(loss.part, int) else None
        along += length_of(piece, bore_of(run, sizes), pipe_stock(run, sizes)) if piece else 0.0
        lost += loss.drop
        points.append((along, lost))
        if not isinstance(piece, Straight | Hose):
            fittings.append((along, lost))
    return points, fittings


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


def _row(view: View, run: str, part: str | int, drop: float, largest: float, names: int) -> Item:
    number = f"{number_text(drop, 'pressure', view.units):>6} {unit_name('pressure', view.units)} "
    cells = max(_BAR, view.width - len(number) - names - 1)
    drawn = f"{bar(drop / largest if largest else 0.0, cells, view.glyphs):<{cells}} "
    room = view.width - len(number) - len(drawn)
    row: Line = line(number, (drawn, "bar"), cut(label_of_part(view, run, part), room, view.glyphs))
    return Item((row,), place_of_part(view, run, part), cells=_cells(view, run, part, drop))

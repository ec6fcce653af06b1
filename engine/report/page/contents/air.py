"""Sheets about air: curves, gate sets with bands, the suction along the way from each machine."""

from __future__ import annotations

from collections.abc import Iterator

from engine.air.band import Band
from engine.air.curves import curves
from engine.air.gate_sets import SetResult
from engine.catalog.limits import under
from engine.report.page.blocks import Block, Card, Drawing, Table, Words
from engine.report.page.charts import LOW, Line, chart
from engine.report.page.job import Job
from engine.units import unit_name
from engine.units.words import share_text

BANDS = "From and to: between these the flow lies, nine times in ten; what moves it is told in the help of the session."


def curve_sheet(job: Job) -> Iterator[Block]:
    """The collector's curve, and what the ducts take in each gate set."""
    flow, pressure = unit_name("flow", job.units), unit_name("pressure", job.units)

    def spot(point: tuple[float, float]) -> tuple[float, float]:
        return job.fine(point[0], "flow"), job.fine(point[1], "pressure")

    lines, rows = [], []
    for number, result in enumerate(job.assessment.sets, 1):
        found = curves(job.assessment.tree, result)
        if number == 1:
            lines.append(Line([spot(point) for point in found.supply if point[1] >= 0.0], "thick"))
        if found.point is None:
            rows.append((f"{number}", result.gate_set.name, "", result.trouble or "no open port draws air"))
            continue
        highest = max(press for _, press in found.supply)
        demand = [point for point in found.demand if point[0] <= found.supply[-1][0] and point[1] <= highest]
        lines.append(Line([*map(spot, demand)], "thin", [(f"{number}", spot(found.point))]))
        rows.append((f"{number}", result.gate_set.name, job.number(found.point[0], "flow"), job.number(found.point[1], "pressure")))
    if lines:
        title = f"{job.design.name}: the collector and its ducts"
        yield Drawing(
            "Broad: what the collector supplies. Thin: what the ducts take, by gate set.",
            chart(title, f"flow, {flow}", f"total pressure at the inlet, {pressure}", lines),
            ("(drawn on the printed page)",),
        )
        yield Table("Where they meet", ("", "gate set", f"flow, {flow}", f"total pressure, {pressure}"), tuple(rows))


def results(job: Job) -> Iterator[Block]:
    """What every machine gets in each gate set."""
    yield Words(BANDS)
    for result, band in zip(job.assessment.sets, job.bands, strict=True):
        name = f"{result.gate_set.name}: {', '.join(result.gate_set.open) or 'nothing at work'}"
        yield Card(f"{name}: {job.verdict(result)}", tuple(_set(job, result, band)))


def _set(job: Job, result: SetResult, band: dict[str, Band]) -> Iterator[Block]:
    balance = result.balance
    if balance is None:
        yield Words(result.trouble, "warning")
        return
    told = f"flow {job.show(balance.flow, 'flow')}, total pressure of the collector {job.show(balance.collector_pressure, 'pressure')}"
    yield Words(f"{told}{_slowest(job, result)}")
    rows = []
    for port, state in balance.ports.items():
        low, high = band_text(job, band.get(port))
        share = share_text(state.flow / state.needs) if state.needs else ""
        at_work = "" if port.split("/")[0] in result.gate_set.open else "not at work"
        rows.append((port, job.number(state.flow, "flow"), low, high, job.number(state.needs, "flow"), share, at_work))
    flow = unit_name("flow", job.units)
    yield Table("", ("port", f"flow, {flow}", "from", "to", "needs", "share", ""), tuple(rows))


def band_text(job: Job, band: Band | None) -> tuple[str, str]:
    """The ends of a flow's band, without unit; "--" where none can be told."""
    return (job.number(band.low, "flow"), job.number(band.high, "flow")) if band else ("--", "--")


def _slowest(job: Job, result: SetResult) -> str:
    """The run that is slowest for its load."""
    slowest = job.assessment.slowest(result)
    if slowest is None:
        return ""
    run, velocity = slowest
    slow = job.assessment.limits(run).slow.value
    told, verdict = job.show(velocity, "speed"), "fast enough"
    if under(velocity, slow):
        told, least = job.assessment.look.beside(velocity, slow, "speed")
        verdict = f"slow below {least}"
    return f"; slowest run for its load {run}, {told} ({verdict})"


def suction(job: Job) -> Iterator[Block]:
    """Static suction from every port to the collector, in the gate set in which it gets least."""
    shown = False
    for port in job.assessment.tree.leaf_of:
        drawn = [
            result for result in job.assessment.sets if result.balance and port.split("/")[0] in result.gate_set.open and port in result.balance.ports
        ]
        if drawn:
            shown = True
            worst = min(drawn, key=lambda result: result.balance.ports[port].flow if result.balance else 0.0)
            yield Card(f"{port}, with {worst.gate_set.name}", tuple(_profile(job, worst, port)))
    if not shown:
        yield Words("No port draws air in any gate set.")


def _profile(job: Job, result: SetResult, port: str) -> Iterator[Block]:
    tree, balance = job.assessment.tree, result.balance
    assert balance is not None  # or the set would not have been chosen
    at, rows = 0.0, []
    points, marks = [(0.0, job.fine(balance.ports[port].suction, "pressure"))], []
    for position in tree.inward(tree.leaf_of[port]):
        run = tree.runs[position].run
        state, length = balance.runs[run], job.assessment.look.space.ways[run].length
        far, near = job.fine(state.suction_far, "pressure"), job.fine(state.suction_near, "pressure")
        begins, at = at, at + job.fine(length, "length")
        points += [(begins, far), (at, near)]
        marks.append((run, ((begins + at) / 2, (far + near) / 2)))
        rows.append((
            run, job.show(length, "length"), job.number(state.velocity, "speed"),
            job.number(state.suction_far, "pressure"), job.number(state.suction_near, "pressure"),
        ))  # fmt: skip
    pressure = unit_name("pressure", job.units)
    yield Drawing(
        "",
        chart(
            f"suction from {port} to the collector",
            f"from the port, {unit_name('length', job.units)}",
            f"static suction, {pressure}",
            [Line(points, "thick", marks)],
            LOW,
        ),
    )
    heads = ("run", "length", f"speed, {unit_name('speed', job.units)}", f"suction at its outer end, {pressure}", "at its inner end")
    yield Table("", heads, tuple(rows))

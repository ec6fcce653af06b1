"""The results tab "now": what is selected, in the gate set shown, against its limits; then the findings."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache, partial

from engine.air.one.balance import Balance, RunState
from engine.air.one.ducts import area
from engine.checks import Finding
from engine.checks.conditions import Condition, narrowed, told_alone
from engine.design.places import PortAt, whole
from engine.units import number_text, show, unit_name
from engine.units.ranges import span_text
from engine.units.words import counted
from tui.draw.charts import gauge
from tui.draw.lines import Line, line, shorten, side_by_side, wrapped
from tui.panes.item import Cells, Fold, Item, Table
from tui.panes.results.view import View, figure
from tui.work.edits.marks import MARKS
from tui.work.findings import is_about

_LEAST_GAUGE = 6
_OF_SPEED = ("slow-run", "fast-run")


def items(view: View) -> list[Item]:
    """The figures of what is selected, then what is wrong in the gate set, what is about the selection first."""
    told = tuple(f"{label} {value}" for label, value in _values(view))
    return [Item(tuple(_figures(view)), cells=told), *findings(view)]


def table(view: View) -> Table:
    """The figures of what is selected, then the findings in the order shown."""
    return [(f"{_subject(view)} in {view.result.gate_set.name}", ""), *_values(view), *(_cells(*pair) for pair in _ordered(view))]


def port_shown(view: View) -> str | None:
    """The open port whose flow is shown."""
    port = view.run.ends if view.run else None
    return port if view.result.balance and port in view.result.balance.ports else None


def _subject(view: View) -> str:
    """Name of what the figures are of."""
    return view.run.id if view.run else "collector"


def _values(view: View) -> list[tuple[str, str]]:
    """The figures of what is selected, each with its label."""
    balance, units = view.result.balance, view.units
    if balance is None:
        return [("no answer", view.result.trouble)]
    if view.run is None:
        return [("flow", show(balance.flow, "flow", units)), ("total suction", show(balance.collector_pressure, "pressure", units))]
    state = balance.runs[view.run.id]
    return [
        ("speed", show(state.velocity, "speed", units)), ("flow", show(state.flow, "flow", units)),
        ("static suction near", show(state.suction_near, "pressure", units)), ("static suction far", show(state.suction_far, "pressure", units)),
    ]  # fmt: skip


def _figures(view: View) -> list[Line]:
    balance = view.result.balance
    if balance is None:
        return wrapped(view.result.trouble, view.width, "fault")
    if view.run is not None:
        return _run_figures(view, balance, view.run.id)
    return _collector_figures(view, balance)


def _collector_figures(view: View, new: Balance) -> list[Line]:
    old = view.old.balance if view.old else None
    parts = [
        figure("flow", "flow", view.units, new.flow, old.flow if old else None),
        figure("supplies", "pressure", view.units, new.collector_pressure, old.collector_pressure if old else None) + line(" total"),
    ]
    air = view.assessment.air
    lines = [line(("collector with " + view.result.gate_set.name, "text")), *side_by_side(parts, view.width, view.glyphs)]
    text = f"air {show(air.density, 'density', view.units)}"
    if new.rising:
        text += "; works where its curve rises: unsteady"
    return [*lines, *wrapped(text, view.width, "dim")]


def _run_figures(view: View, balance: Balance, run: str) -> list[Line]:
    new = balance.runs[run]
    old = view.old.balance.runs.get(run) if view.old and view.old.balance else None
    if new.flow <= 0:
        open_text = "no air: shut in this gate set"
        return [line((run, "value"), " "), *wrapped(open_text, view.width, "dim")]
    band = view.assessment.limits(run)
    verdict = _speed_verdict(view, run, new)
    speed = (*figure("speed", "speed", view.units, new.velocity, old.velocity if old else None), (f" {MARKS[verdict]}", verdict))
    lines = side_by_side([speed, _flow(view, balance, new.flow, old.flow if old else None)], view.width, view.glyphs)
    lines.append(_gauge_line(view, new.velocity, band.slow.value, band.fast.value))
    suction = [
        figure("static", "pressure", view.units, new.suction_near, old.suction_near if old else None) + line(" near"),
        figure("", "pressure", view.units, new.suction_far, old.suction_far if old else None)[1:] + line(" far"),
    ]
    return [*lines, *side_by_side(suction, view.width, view.glyphs, gap=2)]


def _flow(view: View, balance: Balance, new: float, old: float | None) -> Line:
    """Flow of the run; where it ends at a port also how sure that is, and what the port needs."""
    port = port_shown(view)
    if port is None:
        return figure("flow", "flow", view.units, new, old)
    flow = figure("flow", "flow", view.units, new, old, view.band(view.index, port))
    span = span_text(view.assessment.tree.ports[port].needs, "flow", view.units)
    return (*flow, (f", needs {number_text(balance.ports[port].needs, 'flow', view.units)}{span}", "text"))


def _speed_verdict(view: View, run: str, state: RunState) -> str:
    """Of the run's speed where it is widest and where it is narrowest, a hose of another bore counted; "accepted" where its owner did."""
    look, band = view.assessment.look, view.assessment.limits(run)
    told = [one for one in view.assessment.findings if one.where == run and one.gate_set == view.result.gate_set.name and one.code in _OF_SPEED]
    if told and all(one.accepted is not None for one in told):
        return "accepted"
    slowest, fastest = (state.flow / area(section.bore) for section in (look.widest[run], look.narrowest[run]))
    if slowest < band.settles.least:
        return "fault"
    return "ok" if band.slow.least <= slowest and fastest <= band.fast.most else "caution"


def _gauge_line(view: View, speed: float, slow: float, fast: float) -> Line:
    slow_text, fast_text = (number_text(limit, "speed", view.units) for limit in (slow, fast))
    head, tails = "0 ", [f" {fast_text}{unit}, slow {view.glyphs.cross} {slow_text}" for unit in (f" {unit_name('speed', view.units)}", "")]
    tail = next((tail for tail in tails if view.width - len(head) - len(tail) >= _LEAST_GAUGE), tails[-1])
    room = min(view.width - len(head) - len(tail), 24)
    return shorten(line((head, "dim"), gauge(speed, slow, fast, max(room, _LEAST_GAUGE), view.glyphs), (tail, "dim")), view.width, view.glyphs)


# The findings


def _ordered(view: View) -> list[tuple[Condition, Condition]]:
    """The conditions of the gate set, each with what of it holds there: first the one that was gone to, then those about what is selected."""
    name = view.result.gate_set.name
    found = [(condition, own) for condition in view.assessment.conditions if (own := narrowed(condition, view.design, name))]
    return sorted(found, key=lambda pair: (not _told(view, pair[0]), not any(concerns(view, finding) for finding in pair[1].findings)))


def findings(view: View) -> list[Item]:
    """What is wrong in the gate set shown."""
    found = [item for condition, own in _ordered(view) for item in _items(view, condition, own)]
    return found or [Item((line(("no findings in this gate set", "ok")),))]


def _told(view: View, condition: Condition) -> bool:
    """Whether a condition is the one that was last gone to, and still what is selected."""
    return condition.key == view.told and any(is_about(view.design, finding, view.place) for finding in condition.findings)


def concerns(view: View, finding: Finding) -> bool:
    """Whether a finding is about what is selected, or the run that is or holds it."""
    return (finding.place if isinstance(finding.place, PortAt) else whole(finding.place)) in view.concerned


def _items(view: View, condition: Condition, own: Condition) -> Iterator[Item]:
    """A condition, and below it its findings where it is unfolded."""
    fold = Fold(condition.key)
    single = len(condition.findings) == 1
    severity, text = _cells(condition, own)
    role = "accepted" if own.accepted else own.severity
    advice = tuple(_advice(view, own.worst)) if _told(view, condition) else ()
    yield Item(
        _row(MARKS[role], role, text, view.width) + advice, condition.worst if single else fold,
        tuple if advice else partial(_advice, view, own.worst), (severity, text),
    )  # fmt: skip
    if not single and fold in view.unfolded:
        for one in condition.findings:
            yield Item(_row("  -", "dim", told_alone(one, view.design), view.width), one, cells=(one.severity, told_alone(one, view.design)))


def _text(condition: Condition, own: Condition) -> str:
    """What holds in the gate set shown, and in how many others it does."""
    others = len(condition.sets) - len(own.sets)
    text = f"{own.where}: {own.message}" + (f"; {own.remark}" if own.remark else "")
    return text + (f"; also in {counted(others, 'other gate set')}" if others else "")


@lru_cache(maxsize=1024)
def _row(mark: str, role: str, text: str, width: int) -> tuple[Line, ...]:
    """A mark, and the text beside it. Kept: most findings say after an edit what they said before."""
    lead = len(mark) + 1
    first, *rest = wrapped(text, width - lead, "text")
    return line((f"{mark} ", role), *first), *(line(" " * lead, *more) for more in rest)


def _advice(view: View, finding: Finding) -> Iterator[Line]:
    """What to do, and what it rests on."""
    said = f"{'accepted ' if finding.accepted else ''}{finding.severity}; {finding.source}"
    for more in (*wrapped(finding.remedy, view.width - 2, "note"), *wrapped(said, view.width - 2, "dim")):
        yield line("  ", *more)


def _cells(condition: Condition, own: Condition) -> Cells:
    return condition.severity, _text(condition, own)

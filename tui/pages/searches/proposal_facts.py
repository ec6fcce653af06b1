"""What a proposal does to the air: gate sets, findings new and gone, flows of the machines, speeds and losses of the runs it changes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.air.gate_sets import working_ports
from engine.air.one.balance import RunState
from engine.checks.assess import Assessment
from engine.checks.conditions import Condition, conditions_of
from engine.design import system
from engine.search.findings import difference
from engine.units import number_text, unit_name
from engine.units.words import counted, percent
from tui.draw.charts import shift
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, cut, line, spread, wrapped
from tui.work.edits.marks import MARKS, verdict_of

# A figure that moves by less is as it was.
_MOVED = 0.002
# The strip of a gate set: its end, in needs; its cells, and from which width on there is room for it.
_END, _STRIP, _WIDE = 2.0, 24, 66


def fact_lines(before: Assessment, after: Assessment, width: int, glyphs: Glyphs) -> list[Line]:
    """Two assessments side by side, what is alike left out."""
    return [
        *_part("findings gone", _findings(conditions_of(difference(before.findings, after.findings), before.design), width)),
        *_part("findings new", _findings(conditions_of(difference(after.findings, before.findings), after.design), width)),
        *_part(f"machines at work, {unit_name('flow', system(before.design))}", _flows(before, after, width, glyphs)),
        *_part("runs that change: slowest to fastest, and the largest loss", _runs(before, after, width, glyphs)),
    ]


def set_lines(before: Assessment, after: Assessment, width: int, glyphs: Glyphs) -> list[Line]:
    """A strip for each gate set that moves."""
    return _part("gate sets: what the neediest machine gets of its need", _sets(before, after, width, glyphs))


def _part(title: str, lines: Iterator[Line]) -> list[Line]:
    found = list(lines)
    return [line(" "), line((title, "dim")), *found] if found else []


def _findings(conditions: Sequence[Condition], width: int) -> Iterator[Line]:
    """Faults and cautions in full, notes counted."""
    for found in conditions:
        if found.severity != "note":
            first, *rest = wrapped(f"{MARKS[found.severity]} {found.text}", width - 2, found.severity)
            yield line("  ", *first)
            yield from (line("  ", *piece) for piece in rest)
    if notes := sum(found.severity == "note" for found in conditions):
        yield line(("  " + f"- and {counted(notes, 'note')}", "dim"))


def _sets(before: Assessment, after: Assessment, width: int, glyphs: Glyphs) -> Iterator[Line]:
    """A strip for each gate set whose verdict or neediest machine moves: its share and mark before and after, and both on a scale."""
    later = {result.gate_set.name: result for result in after.sets}
    for was in before.sets:
        now = later.get(was.gate_set.name)
        shares = [assessment.neediest(result) if result else None for assessment, result in ((before, was), (after, now))]
        if now is None or shares[0] is None or shares[1] is None:
            continue
        marks = [verdict_of(assessment, result) for assessment, result in ((before, was), (after, now))]
        old, new = shares[0][1], shares[1][1]
        if marks[0] != marks[1] or abs(new - old) > _MOVED * old:
            strip = f"  {shift(old, new, _END, _STRIP, glyphs)}" if width >= _WIDE else ""
            told = line(
                (f"{percent(old):>4} % ", "text"), (f"{MARKS[marks[0]]:<2}", marks[0]), ("-> ", "dim"),
                (f"{percent(new):>4} % ", "changed"), (f"{MARKS[marks[1]]:<2}", marks[1]), (strip, "bar"),
            )  # fmt: skip
            yield spread(line("  ", was.gate_set.name), told, width, glyphs)


def _flows(before: Assessment, after: Assessment, width: int, glyphs: Glyphs) -> Iterator[Line]:
    """Each machine at work, by gate set; sets are matched by name."""
    units, later = system(before.design), {result.gate_set.name: dict(working_ports(result)) for result in after.sets}
    for result in before.sets:
        for port, was in working_ports(result):
            now = later.get(result.gate_set.name, {}).get(port)
            if now is not None and abs(now.flow - was.flow) > _MOVED * was.flow:
                text = f"{number_text(was.flow, 'flow', units)} -> {number_text(now.flow, 'flow', units)} of {number_text(now.needs, 'flow', units)}"
                yield _figures(f"{port}, {result.gate_set.name}", text, width, glyphs, good=now.flow >= now.needs)


def _runs(before: Assessment, after: Assessment, width: int, glyphs: Glyphs) -> Iterator[Line]:
    """The runs whose pipe is another, over all gate sets in which they carry air."""
    old, new = ({duct.run: duct for duct in assessment.tree.runs} for assessment in (before, after))
    for run in (run for run, duct in new.items() if run in old and old[run].bore != duct.bore):
        texts = [_span(_states(assessment, run), system(before.design)) for assessment in (before, after)]
        if all(texts):
            yield _figures(run, " -> ".join(texts), width, glyphs)


def _states(assessment: Assessment, run: str) -> list[RunState]:
    return [result.balance.runs[run] for result in assessment.sets if result.balance and result.balance.runs[run].carries]


def _span(states: Sequence[RunState], units: str) -> str:
    """ "12.1-19.8 m/s, 420 Pa"; "" where it carries no air."""
    if not states:
        return ""
    speeds = [number_text(speed, "speed", units) for speed in (min(state.velocity for state in states), max(state.velocity for state in states))]
    loss = number_text(max(state.loss for state in states), "pressure", units)
    return f"{'-'.join(dict.fromkeys(speeds))} {unit_name('speed', units)}, {loss} {unit_name('pressure', units)}"


def _figures(name: str, text: str, width: int, glyphs: Glyphs, *, good: bool = True) -> Line:
    """A name and, at the right, its figures."""
    room = width - 2 - len(text) - 1
    return line("  ", f"{cut(name, room, glyphs):<{max(room, 0)}} ", (text, "value" if good else "caution"))

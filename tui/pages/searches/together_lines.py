"""The page of gates that may be open together, as items: a table of the machines, then the largest sets that pass."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import partial
from itertools import islice

from engine.checks import Finding
from engine.checks.conditions import conditions_of
from engine.design import Design, system
from engine.report.searches.together import WORDS
from engine.search.together.companions import Companions, Helper, Row, Together, row_of
from engine.search.together.every_set import Grade
from engine.units import show
from engine.units.words import share_text
from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, Span, cut, line, spread, wrapped
from tui.panes.item import Item
from tui.work.edits.marks import MARKS

GRADE_MARKS = {Grade.GOOD: "ok", Grade.PASSES: "*", Grade.FAILS: "-"}
_ROLES = {Grade.GOOD: "ok", Grade.PASSES: "caution", Grade.FAILS: "dim"}
_LEAD, _ALONE, _CELL = 3, 8, 3
_NAME_CELLS = (12, 24)
_FEWEST_HELPER_CELLS = 12
_MOST_FINDINGS = 2
_MOST_OFFERED = 100


@dataclass(frozen=True, slots=True)
class TogetherView:
    """What the page shows: what was found, the design with its gate sets, and the width there is."""

    found: Together
    design: Design
    width: int
    glyphs: Glyphs

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return system(self.design)


@dataclass(frozen=True, slots=True)
class _Columns:
    """Cells of the table: the names, how many machines have a column, and the helpers."""

    name: int
    count: int
    helper: int


def items(view: TogetherView) -> list[Item]:
    """The page; each machine leads to its index, each of the largest sets to an index behind those."""
    found = view.found
    columns = _columns(view)
    rows = [_machine(view, at, one, columns) for at, one in enumerate(found.companions)]
    sets = [_set(view, len(rows) + at, found_set) for at, found_set in enumerate(found.largest)]
    title = "largest sets that pass (fewer machines may be too little air for a main)" if sets else "no set of machines passes"
    return [
        Item(tuple(_summary(view))),
        Item((_heading(columns),)),
        *rows,
        Item((line(" "), *wrapped(title, view.width, "dim"))),
        *sets,
    ]


def _summary(view: TogetherView) -> list[Line]:
    found = view.found
    sets = found.sets
    covered = f"all {len(sets.grade)} sets" if sets.complete else f"{len(sets.grade)} sets of at most {sets.largest}"
    text = f"{covered} of {len(sets.machines)} machines: "
    counts = zip(reversed(Grade), ("good", "pass with cautions", "fail"), strict=True)
    text += ", ".join(f"{found.count(grade)} {word} ({GRADE_MARKS[grade]})" for grade, word in counts)
    lines = wrapped(text, view.width, "text")
    if found.left_out:
        lines += wrapped(f"left out, no run leads there: {', '.join(found.left_out)}", view.width, "dim")
    return lines


def _columns(view: TogetherView) -> _Columns:
    machines = view.found.companions
    room = view.width - _LEAD - _ALONE
    least, most = _NAME_CELLS
    longest = min(max((len(one.machine) for one in machines), default=0), most)
    name = max(least, min(longest, room - _CELL * len(machines)))
    count = min(len(machines), (room - name) // _CELL)
    helper = room - name - _CELL * count - 2
    return _Columns(name, count, helper if helper >= _FEWEST_HELPER_CELLS else 0)


def _heading(columns: _Columns) -> Line:
    numbers = "".join(f"{at + 1:>{_CELL}}" for at in range(columns.count))
    return line((" " * _LEAD + f"{'machine':<{columns.name}}{'alone':>{_ALONE}}{numbers}" + ("  open too" if columns.helper else ""), "dim"))


def _machine(view: TogetherView, at: int, one: Companions, columns: _Columns) -> Item:
    """A machine: alone, beside each other one, and what else to open where it does not pass alone."""
    spans: list[str | Span] = [(f"{at + 1:>2} ", "dim"), f"{cut(one.machine, columns.name, view.glyphs):<{columns.name}}", _alone(one.alone)]
    for other in view.found.companions[: columns.count]:
        grade = one.beside.get(other.machine)
        spans.append(" " * _CELL if grade is None else _mark(grade, _CELL))
    if columns.helper:
        spans.append((cut(f"  {_helper_column(one)}", columns.helper + 2, view.glyphs), "text"))
    return Item((line(*spans),), at, partial(_about, view, one))


def _alone(grade: Grade) -> tuple[str, str]:
    return f"{WORDS[grade]:>{_ALONE}}", "fault" if grade == Grade.FAILS else _ROLES[grade]


def _mark(grade: Grade, cells: int) -> tuple[str, str]:
    return f"{GRADE_MARKS[grade]:>{cells}}", _ROLES[grade]


def _helper_column(one: Companions) -> str:
    helper = one.helpers.get(Grade.PASSES)
    if helper is None:
        return "nothing helps" if one.nearest else ""
    return " + ".join(helper.machines) + ("" if helper.may_work else " (idle)")


def _about(view: TogetherView, one: Companions) -> Iterator[Line]:
    """What the marks of a machine's row mean."""
    yield from _because(view, one.findings)
    if beside := [f"{name} {GRADE_MARKS[grade]}" for name, grade in one.beside.items() if grade]:
        yield from _indented(view, f"with one other: {', '.join(beside)}", "text")
    for grade, helper in one.helpers.items():
        if grade == Grade.PASSES or helper != one.helpers.get(Grade.PASSES):
            best = max(known for known, other in one.helpers.items() if other == helper)
            yield from _indented(view, f"{_helper_text(helper)}: then it {'is good' if best == Grade.GOOD else 'passes'}", "note")
    for machines in one.largest:
        if len(machines) > 2:
            yield from _indented(view, f"at most: {' + '.join(machines)}", "text")
    if one.nearest:
        others = [name for name in one.nearest.machines if name != one.machine]
        yield from _indented(view, f"passes in none of these sets, most nearly {f'with {_listed(others)}' if others else 'alone'}", "text")
        if others:
            yield from _because(view, one.nearest.findings)


def _helper_text(helper: Helper) -> str:
    names = _listed(helper.machines)
    if helper.may_work:
        return f"open {names} too, at work or not"
    return f"open {names} too, but do not work there"


def _listed(names: list[str] | tuple[str, ...]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _because(view: TogetherView, findings: tuple[Finding, ...]) -> Iterator[Line]:
    worst = [one for one in conditions_of(findings, view.design) if one.severity == findings[0].severity]
    for one in worst[:_MOST_FINDINGS]:
        yield from _indented(view, f"{MARKS[one.severity]} {one.where}: {one.message}", one.severity)
    if len(worst) > _MOST_FINDINGS:
        yield from _indented(view, f"and {len(worst) - _MOST_FINDINGS} more", "dim")


def _indented(view: TogetherView, text: str, role: str) -> Iterator[Line]:
    return (line("    ", *piece) for piece in wrapped(text, view.width - 4, role))


def _below_set(view: TogetherView, texts: Iterable[str]) -> Iterator[Line]:
    return (spans for text in filter(None, texts) for spans in _indented(view, text, "dim"))


def _set(view: TogetherView, leads: int, shown: Row) -> Item:
    known = names_of_sets(view.design).get(frozenset(shown.machines))
    tail = line(("  gate set" if known else "", "dim"), f"  {_flow(shown, view.units)}")
    names = " + ".join(shown.machines)
    figures = [f"slowest: {shown.slowest[0]}, {show(shown.slowest[1], 'speed', view.units)}"] if shown.slowest else []
    figures += [f"neediest: {shown.neediest[0]}, {share_text(shown.neediest[1])} of its need"] if shown.neediest else []
    told = (names if len(names) > view.width // 2 else "", "; ".join(figures), f"is gate set {known}" if known else "")
    return Item((spread(line(_mark(shown.grade, _LEAD), f" {names}"), tail, view.width, view.glyphs),), leads, partial(_below_set, view, told))


def _flow(shown: Row, units: str) -> str:
    return "no answer" if shown.flow is None else show(shown.flow, "flow", units)


def remark_on(design: Design, shown: Row) -> str:
    """A set in a few words, for a list to choose from."""
    share = f", neediest {shown.neediest[0]} {share_text(shown.neediest[1])}" if shown.neediest else ""
    known = names_of_sets(design).get(frozenset(shown.machines))
    return f"{WORDS[shown.grade]}, {_flow(shown, system(design))}{share}" + (f"; is gate set {known}" if known else "")


def names_of_sets(design: Design) -> Mapping[frozenset[str], str]:
    """Names of the design's gate sets by the machines at work, those with a throttled gate left out."""
    return {frozenset(gate_set.open): gate_set.name for gate_set in reversed(design.gate_sets) if not gate_set.throttle}


def offered(found: Together, machine: int) -> list[Row]:
    """Sets with one machine to choose from: alone, helped by gates where nobody works, the nearest where it passes in none, and those that pass.

    Of those the ones with the fewest machines come first.
    """
    sets, one = found.sets, found.companions[machine]
    helped = [{one.machine, *helper.machines} for helper in one.helpers.values() if not helper.may_work]
    first = [{one.machine}, *helped, *([set(one.nearest.machines)] if one.nearest else [])]
    rows = [row_of(found.look, sets, at) for at in range(len(sets.grade)) if set(sets.members(at)) in first]
    passing = (row for row in found.rows(Grade.PASSES) if one.machine in row.machines and row not in rows)
    return [*sorted(rows, key=lambda row: first.index(set(row.machines))), *islice(passing, _MOST_OFFERED)]


def idle_in(found: Together, machine: int, machines: tuple[str, ...]) -> tuple[str, ...]:
    """The machines of a set with one machine whose gates only help it: there nobody may work."""
    one = found.companions[machine]
    helpers = (helper.machines for helper in one.helpers.values() if not helper.may_work)
    return next((known for known in helpers if {one.machine, *known} == set(machines)), ())

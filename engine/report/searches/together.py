"""Which machines may work together, as plain text that fits 80 columns and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from engine.checks import Finding
from engine.checks.conditions import conditions_of
from engine.design import Design
from engine.report.pen import WIDTH, aside, beside, finding_json, headed, json_text, labelled, page, wrapped
from engine.search.together.companions import Companions, Helper, Row, Together
from engine.search.together.every_set import Grade
from engine.units.words import counted

MARKS = {Grade.GOOD: "+", Grade.PASSES: "o", Grade.FAILS: "-"}
WORDS = {Grade.GOOD: "good", Grade.PASSES: "passes", Grade.FAILS: "fails"}
_KEY = ("two at a time, and alone where a machine meets itself", "+ good: no cautions   o passes, with cautions   - fails")
_NUMBER, _NAME, _COLUMN = 6, 26, 3
_MOST_FINDINGS, _MOST_SETS = 2, 12
_LAST_WORD = (
    "Estimates, no sign-off: local codes, your fire authority, your insurer and licensed practice have the last word. "
    "Air enough for the chips is not yet air fit to breathe; the check of the gate sets lists the cautions."
)


def as_text(found: Together) -> str:
    """Lines of at most 80 columns, in the design's units."""
    blocks = [_header(found), *_tables(found)]
    blocks += [list(_machine_block(one, found.look.design)) for one in found.companions]
    return page([*blocks, _largest_block(found), wrapped(_LAST_WORD)])


def _header(found: Together) -> list[str]:
    sets = found.sets
    every = f"every combination of {counted(len(sets.machines), 'machine')}"
    some = f"at most {sets.largest} of {len(sets.machines)} machines at work; more were not tried"
    counts = f"{found.count(Grade.GOOD)} good, {found.count(Grade.PASSES)} pass with cautions, {found.count(Grade.FAILS)} fail"
    lines = headed(found.look.design, "which machines may work together")
    lines += labelled("sets", f"{len(sets.grade)}: {every if sets.complete else some}") + labelled("verdict", counts)
    lines += labelled("gates", "those on the ways of the machines at work wide open, all others shut")
    if found.left_out:
        lines += labelled("left out", f"{', '.join(found.left_out)}: no run leads there")
    return lines


def _tables(found: Together) -> Iterator[list[str]]:
    """Pairs, with each machine alone on the diagonal, as many columns at a time as fit."""
    machines = found.companions
    fit = (WIDTH - _NUMBER - _NAME) // _COLUMN
    for first in range(0, len(machines), fit):
        columns = range(first, min(first + fit, len(machines)))
        lines = [" " * (_NUMBER + _NAME) + "".join(f"{column + 1:>{_COLUMN}}" for column in columns)]
        for i, one in enumerate(machines):
            grades = (one.alone if k == i else one.beside.get(machines[k].machine) for k in columns)
            marks = (" " if grade is None else MARKS[grade] for grade in grades)
            named = beside(one.machine, _NAME, "".join(f"{mark:>{_COLUMN}}" for mark in marks))
            lines += [f"{i + 1 if not at else '':>4}  {line}" for at, line in enumerate(named)]
        yield lines + [" " * _NUMBER + line for line in _KEY]


def _machine_block(one: Companions, design: Design) -> Iterator[str]:
    verdict = f"alone: {WORDS[one.alone]}"
    yield from aside(one.machine, verdict)
    yield from _because(one.findings, design)
    if beside := [f"{name} {MARKS[grade]}" for name, grade in one.beside.items() if grade >= Grade.PASSES]:
        yield from labelled("  with one", ", ".join(beside))
    for helper in dict.fromkeys(one.helpers.values()):
        reached = max(grade for grade, other in one.helpers.items() if other == helper)
        yield from labelled("  open too", f"{_helper_words(helper)}: then it {'is good' if reached == Grade.GOOD else 'passes'}")
    for members in one.largest:
        if len(members) > 2:
            yield from labelled("  at most", " + ".join(members))
    if one.nearest:
        others = [name for name in one.nearest.machines if name != one.machine]
        where = f"with {', '.join(others)}:" if others else "alone"
        yield from labelled("  never", f"passes in none of these sets, most nearly {where}")
        yield from _because(one.nearest.findings if others else (), design)


def _helper_words(helper: Helper) -> str:
    names = ", ".join(helper.machines)
    return f"{names} (may work as well)" if helper.may_work else f"{names} (only the gates: starved at work)"


def _because(findings: tuple[Finding, ...], design: Design) -> Iterator[str]:
    worst = [one for one in conditions_of(findings, design) if one.severity == findings[0].severity]
    for one in worst[:_MOST_FINDINGS]:
        yield from labelled(f"  {one.severity}", f"{one.where}: {one.message}")
    if len(worst) > _MOST_FINDINGS:
        yield from labelled("", f"and {len(worst) - _MOST_FINDINGS} more")


def _largest_block(found: Together) -> list[str]:
    if not found.largest:
        return ["No set of machines passes."]
    lines = wrapped("Largest sets that pass. With fewer machines a main may get too little air.")
    for row in found.largest[:_MOST_SETS]:
        lines += labelled(f"  {MARKS[row.grade]}{len(row.machines):>4}", " + ".join(row.machines))
    if len(found.largest) > _MOST_SETS:
        lines += labelled("", f"and {len(found.largest) - _MOST_SETS} more")
    return lines


def as_json(found: Together) -> str:
    """JSON text: m3/s and m/s. `passing` lists every set that passes, fewest machines first; the others fail."""
    sets = found.sets
    return json_text(
        found.look.design,
        machines=list(sets.machines),
        left_out=list(found.left_out),
        sets={"count": len(sets.grade), "most_machines": sets.largest, "complete": sets.complete},
        grades={WORDS[grade]: found.count(grade) for grade in Grade},
        companions=[_companions_json(one) for one in found.companions],
        largest=[list(row.machines) for row in found.largest],
        passing=[_row_json(row) for row in found.rows(Grade.PASSES)],
    )


def _row_json(row: Row) -> dict[str, Any]:
    """One set as plain data."""
    return {
        "machines": list(row.machines),
        "grade": WORDS[row.grade],
        "flow": row.flow,
        "slowest": row.slowest and {"run": row.slowest[0], "velocity": row.slowest[1]},
        "neediest": row.neediest and {"port": row.neediest[0], "share": row.neediest[1]},
    }


def _companions_json(one: Companions) -> dict[str, Any]:
    nearest = one.nearest
    return {
        "machine": one.machine,
        "alone": WORDS[one.alone],
        "findings": _findings_json(one.findings),
        "beside": {name: WORDS[grade] for name, grade in one.beside.items()},
        "largest": [list(members) for members in one.largest],
        "helpers": {WORDS[grade]: {"open": list(helper.machines), "may_work": helper.may_work} for grade, helper in one.helpers.items()},
        "nearest": nearest and {"machines": list(nearest.machines), "findings": _findings_json(nearest.findings)},
    }


def _findings_json(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    return [finding_json(finding, [finding.gate_set] if finding.gate_set else []) for finding in findings]

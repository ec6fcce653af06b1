"""An assessment as plain text, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from engine.air.band import Band
from engine.air.bands import bands
from engine.air.gate_sets import SetResult
from engine.air.one.balance import Balance
from engine.catalog.limits import under
from engine.checks import SEVERITIES, Finding, cautions
from engine.checks.assess import Assessment
from engine.checks.conditions import Condition, told_alone
from engine.checks.later import doubtful_runs, faults_of_a_dirty_filter, sets_of_a_dirty_filter
from engine.design import system
from engine.report.pen import WIDTH, aside, beside, finding_json, headed, json_text, labelled, page, picked, wrapped
from engine.units import number_text, show
from engine.units.ranges import Range, range_text
from engine.units.words import counted, percent

# Cells of the figures behind the name of a port, and what is said of one whose machine is idle.
_FIGURES, _IDLE = 45, "  not at work"


def as_json(assessment: Assessment) -> str:
    """The assessment as JSON text: m3/s, m/s, Pa, kg/m3, Pa s; null where a gate set has no answer.

    `low` and `high` of a port are the ends of the band of its `flow`, null where none can be told. Each finding is told by itself.
    `dirty_filter` are the faults that only a dirty filter brings; it is there where there are some.
    """
    return json_text(
        assessment.design,
        air=picked(assessment.air, "density", "viscosity"),
        gate_sets=[_set_json(result, band) for result, band in _with_bands(assessment)],
        findings=[finding_json(finding, sets) for finding, sets in _with_sets(assessment)],
        **({"dirty_filter": faults} if (faults := _dirty_json(assessment)) else {}),
    )


def _with_bands(assessment: Assessment) -> Iterator[tuple[SetResult, Mapping[str, Band]]]:
    return zip(assessment.sets, bands(assessment.design, assessment.tree, assessment.sets), strict=True)


def _with_sets(assessment: Assessment) -> list[tuple[Finding, tuple[str, ...]]]:
    """The findings in their order, each with the gate sets that its condition happens in."""
    sets = {id(finding): condition.sets for condition in assessment.conditions for finding in condition.findings}
    return [(finding, sets[id(finding)]) for finding in assessment.findings]


def _set_json(result: SetResult, band: Mapping[str, Band]) -> dict[str, Any]:
    balance = result.balance
    return {
        "name": result.gate_set.name,
        "open": list(result.gate_set.open),
        "flow": balance.flow if balance else None,
        "collector_pressure": balance.collector_pressure if balance else None,
        "runs": [
            {"id": run, **picked(state, "flow", "velocity", "loss", "suction_near", "suction_far")}
            for run, state in (balance.runs.items() if balance else ())
        ],
        "ports": [
            {
                "port": port,
                **picked(state, "flow", "needs", "suction"),
                **(picked(band[port], "low", "high") if band else {"low": None, "high": None}),
            }
            for port, state in (balance.ports.items() if balance else ())
        ],
    }


def as_text(assessment: Assessment, width: int = WIDTH, *, each: bool = False, whole_cautions: bool = False) -> str:
    """The assessment as lines of at most `width` columns, 80 or more, in the design's units.

    Findings of one cause are folded into one, but for `each`. Cautions are
    told by their headings, but for `whole_cautions`.
    """
    banded = list(_with_bands(assessment))
    blocks = [_header(assessment, width)]
    blocks += [_set_block(assessment, result, band, width) for result, band in banded]
    blocks += [_findings_block(assessment, width, each=each), _later_block(assessment, banded, width)]
    blocks.append(_cautions_block(assessment, width, whole=whole_cautions))
    return page(filter(None, blocks))


def _header(assessment: Assessment, width: int) -> list[str]:
    design, units = assessment.design, system(assessment.design)
    site = design.site
    altitude = site.altitude.text if site.altitude else "sea level"
    collector = design.collector
    known = "known by its free-air flow only" if assessment.tree.fan.estimated else f"curve of {counted(len(collector.curve), 'point')}"
    return [
        *headed(design, width=width),
        *labelled("air", f"{show(assessment.air.density, 'density', units)}, at {altitude}", width),
        *labelled("flows", "with how far each may lie above and below, nine times in ten", width),
        *labelled("collector", f"{collector.name or 'no name'}, inlet {show(collector.inlet.si, 'bore', units)}, {known}", width),
    ]


def _set_block(assessment: Assessment, result: SetResult, band: Mapping[str, Band], width: int) -> list[str]:
    verdict = {"fault": "does not pass", "caution": "passes, with cautions"}.get(assessment.worst(result), "passes")
    lines = aside(f"{result.gate_set.name}: {', '.join(result.gate_set.open) or 'nothing at work'}", verdict, width)
    if result.balance is None:
        return lines + wrapped(result.trouble, "  ", width)
    return lines + [f"  {line}" for line in _balance_lines(assessment, result, result.balance, band, width - 2)]


def _balance_lines(assessment: Assessment, result: SetResult, balance: Balance, band: Mapping[str, Band], width: int) -> Iterator[str]:
    units = system(assessment.design)
    yield f"flow {show(balance.flow, 'flow', units)}, total pressure of the collector {show(balance.collector_pressure, 'pressure', units)}"
    if slowest := assessment.slowest(result):
        run, velocity = slowest
        told, slow = show(velocity, "speed", units), assessment.limits(run).slow.value
        verdict = "fast enough"
        if under(velocity, slow):
            told, limit = assessment.look.beside(velocity, slow, "speed")
            verdict = f"slow below {limit}"
        yield from wrapped(f"slowest run for its load: {run}, {told} ({verdict})", width=width)
    idle = any(port.split("/")[0] not in result.gate_set.open for port in balance.ports)
    names = min(max(map(len, balance.ports), default=0), width - _FIGURES - len(_IDLE) * idle)
    for port, state in balance.ports.items():
        flow, needs = number_text(state.flow, "flow", units), show(state.needs, "flow", units)
        about = band[port].text(state.flow, units) if band else ""
        share = f"{percent(state.flow / state.needs):>4}%" if state.needs else "   --"
        remark = "" if port.split("/")[0] in result.gate_set.open else _IDLE
        yield from beside(port, names, f" {flow:>5} {about:<10} of {needs:>10} needed {share}{remark}")
        if isinstance(wanted := assessment.tree.ports[port].needs, Range):
            yield f"  judged by {needs}, the middle of {range_text(wanted, 'flow', units)}"


def _findings_block(assessment: Assessment, width: int, *, each: bool) -> list[str]:
    if not assessment.findings:
        return ["No findings."]
    counts = [counted(assessment.count(severity), severity) for severity in SEVERITIES]
    lines = ["Findings: " + ", ".join([*counts, *([f"{assessment.accepted} accepted"] if assessment.accepted else [])])]
    alike: dict[tuple[str, ...], list[Condition]] = {}
    for condition in assessment.conditions:
        worst = condition.worst
        alike.setdefault((condition.standing, worst.code, worst.remedy, worst.source), []).append(condition)
    for (standing, code, remedy, source), group in alike.items():
        lines += ["", f"{standing}: {code}"]
        for condition in group:
            texts = [told_alone(finding, assessment.design) for finding in condition.findings] if each else [condition.text]
            lines += [line for text in texts for line in wrapped(text, "  ", width)]
        lines += labelled("  do", remedy, width) + labelled("  source", source, width)
    return lines


def _later_block(assessment: Assessment, banded: Sequence[tuple[SetResult, Mapping[str, Band]]], width: int) -> list[str]:
    """What is not found of the design as it stands, and may come: nothing where nothing can be told."""
    lines, faults, show_ = [], faults_of_a_dirty_filter(assessment), assessment.look.show
    if faults is not None:
        lost = sets_of_a_dirty_filter(assessment)
        sets = f"; {counted(len(lost), 'more gate set')} without a pass: {', '.join(lost)}" if lost else ""
        lines += wrapped(f"With the filter dirty: {counted(len(faults), 'more fault', none='no')}{sets}.", "  ", width)
        lines += [line for fault in faults for line in wrapped(f"- {fault.text}", "  ", width)]
    if doubtful := list(doubtful_runs(assessment, banded)):
        lines += wrapped("At the low end of what their flow may be, chips may settle in:", "  ", width)
        for one in doubtful:
            told = f"- {one.run} ({one.gate_set}): {show_(one.low, 'speed')}, below {assessment.look.about(one.settles, 'speed', least=True)}"
            lines += wrapped(told, "  ", width)
    return ["What may come", *lines] if lines else []


def _dirty_json(assessment: Assessment) -> list[dict[str, Any]]:
    return [finding_json(one, fault.sets) for fault in faults_of_a_dirty_filter(assessment) or () for one in fault.findings]


def _cautions_block(assessment: Assessment, width: int, *, whole: bool) -> list[str]:
    lines = ["Health and safety", *wrapped(cautions.PREFACE, "  ", width)]
    applying = cautions.applying(assessment.design)
    if not whole:
        lines += [line for caution in applying for line in wrapped(f"- {caution.title}.", "  ", width)]
        return lines + wrapped(f"Read {'it' if len(applying) == 1 else 'these'} whole with --cautions, or with H in the session.", "  ", width)
    for caution in applying:
        lines += ["", *wrapped(f"{caution.title}.", "  ", width), *wrapped(caution.text(assessment.design), "  ", width)]
        lines += labelled("  source", caution.source, width)
    return lines

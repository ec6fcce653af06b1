"""An assessment as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

import json
from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from engine import edits
from engine.air.gate_sets import SetResult
from engine.checks import SEVERITIES, Finding, cautions
from engine.checks.assess import Assessment
from engine.design import system
from engine.units import show, show_about
from engine.units.words import counted, percent

WIDTH = 80
JSON_FORMAT = 1


def as_json(assessment: Assessment) -> str:
    """The assessment as JSON text: m3/s, m/s, Pa, kg/m3, Pa s; null where a gate set has no answer."""
    air = assessment.air
    report = {
        "format": JSON_FORMAT,
        "design": assessment.design.name,
        "air": {"density": air.density, "viscosity": air.viscosity},
        "gate_sets": [_set_json(result) for result in assessment.sets],
        "findings": [finding_json(finding) for finding in assessment.findings],
    }
    return json.dumps(report, indent=2, ensure_ascii=False, allow_nan=False)


def _set_json(result: SetResult) -> dict[str, Any]:
    balance = result.balance
    return {
        "name": result.gate_set.name,
        "open": list(result.gate_set.open),
        "flow": balance.flow if balance else None,
        "collector_pressure": balance.collector_pressure if balance else None,
        "runs": [
            {
                "id": run, "flow": state.flow, "velocity": state.velocity, "loss": state.loss,
                "suction_near": state.suction_near, "suction_far": state.suction_far,
            }
            for run, state in (balance.runs.items() if balance else ())
        ],
        "ports": [
            {"port": port, "flow": state.flow, "needs": state.needs, "suction": state.suction}
            for port, state in (balance.ports.items() if balance else ())
        ],
    }  # fmt: skip


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as plain data."""
    names = ("code", "severity", "where", "piece", "gate_set", "message", "remedy", "source")
    return {name: getattr(finding, name) for name in names}


def as_text(assessment: Assessment) -> str:
    """The assessment as lines of at most 80 columns, in the design's units."""
    blocks = [_header(assessment)]
    blocks += [_set_block(assessment, result) for result in assessment.sets]
    blocks += [_findings_block(assessment), _cautions_block(assessment)]
    return "\n\n".join("\n".join(block) for block in blocks)


def _header(assessment: Assessment) -> list[str]:
    design, units = assessment.design, system(assessment.design)
    site = design.site
    altitude = site.altitude.text if site.altitude else "sea level"
    collector = design.collector
    known = "known by its free-air flow only" if assessment.tree.fan.estimated else f"curve of {counted(len(collector.curve), 'point')}"
    return [
        *wrapped(design.name),
        *labelled("air", f"{show(assessment.air.density, 'density', units)}, at {altitude}"),
        *labelled("collector", f"{collector.name or 'no name'}, inlet {show(collector.inlet.si, 'bore', units)}, {known}"),
    ]


def _set_block(assessment: Assessment, result: SetResult) -> list[str]:
    verdict = {"fault": "does not pass", "caution": "passes, with cautions"}.get(assessment.worst(result), "passes")
    title = f"{result.gate_set.name}: {', '.join(result.gate_set.open) or 'nothing at work'}"
    lines = wrapped(title, width=WIDTH - len(verdict) - 2)
    lines[0] = f"{lines[0]:<{WIDTH - len(verdict)}}{verdict}"
    if result.balance is None:
        return lines + wrapped(result.trouble, "  ")
    return lines + [f"  {line}" for line in _balance_lines(assessment, result)]


def _balance_lines(assessment: Assessment, result: SetResult) -> Iterator[str]:
    balance, units = result.balance, system(assessment.design)
    yield f"flow {show(balance.flow, 'flow', units)}, collector pressure {show(balance.collector_pressure, 'pressure', units)}"
    if slowest := assessment.slowest(result):
        run, velocity = slowest
        slow = show_about(assessment.limits(run).slow.value, "speed", units)
        yield from wrapped(f"slowest run for its load: {run}, {show(velocity, 'speed', units)} (slow below {slow})", width=WIDTH - 2)
    for port, state in balance.ports.items():
        flow, needs = show(state.flow, "flow", units), show(state.needs, "flow", units)
        share = f"{percent(state.flow / state.needs):>4}%" if state.needs else "   --"
        remark = "" if port.split("/")[0] in result.gate_set.open else "  open, not at work"
        yield f"{cut(port, 26):<26} {flow:>10} of {needs:>10} needed {share}{remark}"


def _findings_block(assessment: Assessment) -> list[str]:
    if not assessment.findings:
        return ["No findings."]
    lines = ["Findings: " + ", ".join(counted(assessment.count(severity), severity) for severity in SEVERITIES)]
    alike: dict[tuple[str, ...], list[Finding]] = {}
    for finding in assessment.findings:
        alike.setdefault((finding.severity, finding.code, finding.remedy, finding.source), []).append(finding)
    for (severity, code, remedy, source), group in alike.items():
        lines += ["", f"{severity}: {code}"]
        for finding in group:
            lines += wrapped(f"{_where(assessment, finding)}: {finding.message}", "  ")
        lines += labelled("  do", remedy) + labelled("  source", source)
    return lines


def _where(assessment: Assessment, finding: Finding) -> str:
    where = finding.where
    if finding.piece is not None:
        index = next(i for i, run in enumerate(assessment.design.runs) if run.id == where)
        where = edits.label(assessment.design, ("runs", index, "pieces", finding.piece))
    return f"{where} ({finding.gate_set})" if finding.gate_set else where


def _cautions_block(assessment: Assessment) -> list[str]:
    lines = ["Health and safety", *wrapped(cautions.PREFACE, "  ")]
    for caution in cautions.applying(assessment.design):
        lines += ["", *wrapped(f"{caution.title}.", "  "), *wrapped(caution.text(assessment.design), "  ")]
        lines += labelled("  source", f"{caution.source} ({caution.provenance})")
    return lines


def labelled(label: str, text: str) -> list[str]:
    """Text wrapped to WIDTH beside its label."""
    return wrap(text, WIDTH, initial_indent=f"{label:<11}", subsequent_indent=" " * 11, break_on_hyphens=False)


def wrapped(text: str, indent: str = "", width: int = WIDTH) -> list[str]:
    """Text wrapped, its further lines indented."""
    return wrap(text, width, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False) or [""]


def cut(text: str, width: int) -> str:
    """Text of at most `width` characters."""
    return text if len(text) <= width else text[: width - 3] + "..."

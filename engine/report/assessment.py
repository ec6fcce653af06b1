"""An assessment as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from engine.air.balance import Balance
from engine.air.bands import Band, bands
from engine.air.gate_sets import SetResult
from engine.catalog.limits import under
from engine.checks import SEVERITIES, Finding, cautions
from engine.checks.assess import Assessment
from engine.design import system
from engine.design.names import label
from engine.report.pen import WIDTH, aside, cell, finding_json, json_text, labelled, page, picked, wrapped
from engine.units import number_text, show
from engine.units.words import counted, percent


def as_json(assessment: Assessment) -> str:
    """The assessment as JSON text: m3/s, m/s, Pa, kg/m3, Pa s; null where a gate set has no answer.

    `low` and `high` of a port are the ends of the band of its `flow`, null where none can be told.
    """
    return json_text(
        assessment.design,
        air=picked(assessment.air, "density", "viscosity"),
        gate_sets=[_set_json(result, band) for result, band in _with_bands(assessment)],
        findings=[finding_json(finding) for finding in assessment.findings],
    )


def _with_bands(assessment: Assessment) -> Iterator[tuple[SetResult, Mapping[str, Band]]]:
    return zip(assessment.sets, bands(assessment.design, assessment.tree, assessment.sets), strict=True)


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


def as_text(assessment: Assessment) -> str:
    """The assessment as lines of at most 80 columns, in the design's units."""
    blocks = [_header(assessment)]
    blocks += [_set_block(assessment, result, band) for result, band in _with_bands(assessment)]
    blocks += [_findings_block(assessment), _cautions_block(assessment)]
    return page(blocks)


def _header(assessment: Assessment) -> list[str]:
    design, units = assessment.design, system(assessment.design)
    site = design.site
    altitude = site.altitude.text if site.altitude else "sea level"
    collector = design.collector
    known = "known by its free-air flow only" if assessment.tree.fan.estimated else f"curve of {counted(len(collector.curve), 'point')}"
    return [
        *wrapped(design.name),
        *labelled("air", f"{show(assessment.air.density, 'density', units)}, at {altitude}"),
        *labelled("flows", "with how far each may lie above and below, nine times in ten"),
        *labelled("collector", f"{collector.name or 'no name'}, inlet {show(collector.inlet.si, 'bore', units)}, {known}"),
    ]


def _set_block(assessment: Assessment, result: SetResult, band: Mapping[str, Band]) -> list[str]:
    verdict = {"fault": "does not pass", "caution": "passes, with cautions"}.get(assessment.worst(result), "passes")
    lines = aside(f"{result.gate_set.name}: {', '.join(result.gate_set.open) or 'nothing at work'}", verdict)
    if result.balance is None:
        return lines + wrapped(result.trouble, "  ")
    return lines + [f"  {line}" for line in _balance_lines(assessment, result, result.balance, band)]


def _balance_lines(assessment: Assessment, result: SetResult, balance: Balance, band: Mapping[str, Band]) -> Iterator[str]:
    units = system(assessment.design)
    yield f"flow {show(balance.flow, 'flow', units)}, total pressure of the collector {show(balance.collector_pressure, 'pressure', units)}"
    if slowest := assessment.slowest(result):
        run, velocity = slowest
        told, slow = show(velocity, "speed", units), assessment.limits(run).slow.value
        verdict = "fast enough"
        if under(velocity, slow):
            told, limit = assessment.look.beside(velocity, slow, "speed")
            verdict = f"slow below {limit}"
        yield from wrapped(f"slowest run for its load: {run}, {told} ({verdict})", width=WIDTH - 2)
    for port, state in balance.ports.items():
        flow, needs = number_text(state.flow, "flow", units), show(state.needs, "flow", units)
        about = band[port].text(state.flow, units) if band else ""
        share = f"{percent(state.flow / state.needs):>4}%" if state.needs else "   --"
        remark = "" if port.split("/")[0] in result.gate_set.open else "  not at work"
        yield f"{cell(port, 20)} {flow:>5} {about:<10} of {needs:>10} needed {share}{remark}"


def _findings_block(assessment: Assessment) -> list[str]:
    if not assessment.findings:
        return ["No findings."]
    counts = [counted(assessment.count(severity), severity) for severity in SEVERITIES]
    lines = ["Findings: " + ", ".join([*counts, *([f"{assessment.accepted} accepted"] if assessment.accepted else [])])]
    alike: dict[tuple[str, ...], list[Finding]] = {}
    for finding in assessment.findings:
        severity = f"accepted {finding.severity}" if finding.accepted else finding.severity
        alike.setdefault((severity, finding.code, finding.remedy, finding.source), []).append(finding)
    for (severity, code, remedy, source), group in alike.items():
        lines += ["", f"{severity}: {code}"]
        for finding in group:
            lines += wrapped(f"{_where(assessment, finding)}: {finding.message}", "  ")
        lines += labelled("  do", remedy) + labelled("  source", source)
    return lines


def _where(assessment: Assessment, finding: Finding) -> str:
    where = finding.where if finding.piece is None else label(assessment.design, finding.place)
    return f"{where} ({finding.gate_set})" if finding.gate_set else where


def _cautions_block(assessment: Assessment) -> list[str]:
    lines = ["Health and safety", *wrapped(cautions.PREFACE, "  ")]
    for caution in cautions.applying(assessment.design):
        lines += ["", *wrapped(f"{caution.title}.", "  "), *wrapped(caution.text(assessment.design), "  ")]
        lines += labelled("  source", caution.source)
    return lines

"""Sizes and substitutes as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from engine.design import Design, system
from engine.report.assessment import cut, wrapped
from engine.search.proposals import Proposal, Standing, Step
from engine.search.sizing.substitution import Shift, Substitute
from engine.units import show
from engine.units.words import share_text

JSON_FORMAT = 1
ESTIMATE = "A fitting without a price of its own counts as some metres of its pipe (judgement)."
_TITLE = 45


def as_text(design: Design, today: Standing, step: Step) -> str:
    """What was found, side by side, and the sizes of each; for substitutes what they do."""
    return "\n".join(_lines(design, today, step))


def _lines(design: Design, today: Standing, step: Step) -> Iterator[str]:
    yield from wrapped(design.name)
    yield ""
    for line in step.said.splitlines():
        yield from wrapped(line)
    yield from ("", f"{'':>2} {'':<{_TITLE}} {'neediest':>9} {'faults':>6} {'caut.':>5} {'price':>8}")
    yield _row("", "today's", today)
    yield from (_row(f"{number}", one.title, one.standing) for number, one in enumerate(step.proposals, 1))
    for number, one in enumerate(step.proposals, 1):
        yield from ("", *wrapped(f"{number}. {one.title}: {one.reason}"))
        yield from _figures(design, one) if isinstance(one, Substitute) else _sizes(design, one)
    yield from ("", *wrapped(f"price: of pipe, hose and fittings. neediest: what the machine worst off gets of its need. {ESTIMATE}"))


def _row(number: str, title: str, standing: Standing) -> str:
    share = share_text(standing.share)
    return f"{number:>2} {cut(title, _TITLE):<{_TITLE}} {share:>9} {standing.faults:>6} {standing.cautions:>5} {standing.price:>8.2f}"


def _sizes(design: Design, one: Proposal) -> Iterator[str]:
    """The runs in another size, those of one change together."""
    groups: dict[tuple[str, str], list[str]] = {}
    for old, new in zip(design.runs, one.design.runs):
        if old.size != new.size:
            groups.setdefault((old.size, new.size), []).append(old.id)
    for (old, new), runs in groups.items():
        yield from wrapped(f"{old} -> {new}: {', '.join(runs)}", "   ")


def _figures(design: Design, one: Substitute) -> Iterator[str]:
    """Where speed and flow move the most."""
    units = system(design)
    for name, shifts, dimension in (("speed", one.speeds, "speed"), ("loss", one.losses, "pressure"), ("flow", one.flows, "flow")):
        for shift in _largest(shifts):
            before, after = show(shift.before, dimension, units), show(shift.after, dimension, units)
            yield from wrapped(f"{name} {before} -> {after}: {shift.what} in {shift.gate_set}", "   ")


def _largest(shifts: Sequence[Shift], most: int = 3) -> list[Shift]:
    moved = [shift for shift in shifts if abs(shift.after - shift.before) > 0.002 * abs(shift.before)]
    return sorted(moved, key=lambda shift: -abs(shift.after / shift.before - 1) if shift.before else 0.0)[:most]


def as_json(design: Design, today: Standing, step: Step) -> str:
    """What was found as JSON text: speeds in m/s, flows in m3/s, prices in the currency of the stock."""
    report = {
        "format": JSON_FORMAT, "design": design.name, "said": step.said, "today": _standing(today),
        "proposals": [
            {
                "title": one.title, "reason": one.reason, "standing": _standing(one.standing),
                "sizes": {run.id: run.size for run in one.design.runs},
                **(_shifts(one) if isinstance(one, Substitute) else {}),
            }
            for one in step.proposals
        ],
    }  # fmt: skip
    return json.dumps(report, indent=2, ensure_ascii=False, allow_nan=False)


def _standing(of: Standing) -> dict[str, Any]:
    return {name: getattr(of, name) for name in ("share", "port", "gate_set", "faults", "cautions", "price")}


def _shifts(one: Substitute) -> dict[str, Any]:
    names = ("what", "gate_set", "before", "after")
    return {field: [{name: getattr(shift, name) for name in names} for shift in getattr(one, field)] for field in ("speeds", "losses", "flows")}

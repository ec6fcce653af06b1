"""Sizes and substitutes as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from engine.design import Design, system
from engine.report.pen import beside, headed, in_money, json_text, numbered, picked, standing_json, wrapped
from engine.search.proposals import Proposal, Standing, Step
from engine.search.ranking import IN_WORDS
from engine.search.sizing.substitution import Shift, Substitute
from engine.units import show
from engine.units.words import shares_beside

ESTIMATE = "A fitting without a price of its own counts as some metres of its pipe (judgement)."
_TITLE = 42


def as_text(design: Design, today: Standing, step: Step) -> str:
    """What was found, side by side, and the sizes of each; for substitutes what they do."""
    return "\n".join(_lines(design, today, step))


def _lines(design: Design, today: Standing, step: Step) -> Iterator[str]:
    yield from headed(design)
    yield ""
    for line in step.said.splitlines():
        yield from wrapped(line)
    yield from ("", f"{'':>2} {'':<{_TITLE}} {'neediest':>9} {'faults':>6} {'cautions':>8} {'price':>8}")
    rows = [("", "today's", today), *((f"{number}", one.title, one.standing) for number, one in enumerate(step.proposals, 1))]
    shares = shares_beside(*(standing.share for _, _, standing in rows))
    for row, share in zip(rows, shares, strict=True):
        yield from _row(*row, share)
    for number, one in enumerate(step.proposals, 1):
        yield from ("", *numbered(number, one))
        yield from _figures(design, one) if isinstance(one, Substitute) else _sizes(design, one)
    yield from (
        "",
        *wrapped(
            f"price: of pipe, hose and fittings{in_money(design)}. neediest: what the machine worst off gets of its need. {IN_WORDS} {ESTIMATE}"
        ),
    )


def _row(number: str, title: str, standing: Standing, share: str) -> Iterator[str]:
    first, *rest = beside(title, _TITLE, f" {share:>9} {standing.faults:>6} {standing.cautions:>8} {standing.price:>8.2f}")
    yield f"{number:>2} {first}"
    yield from (f"   {line}" for line in rest)


def _sizes(design: Design, one: Proposal) -> Iterator[str]:
    """The runs in another size, those of one change together."""
    groups: dict[tuple[str, str], list[str]] = {}
    for was, run in zip(design.runs, one.design.runs, strict=True):
        if was.size and run.size and was.size != run.size:
            groups.setdefault((was.size, run.size), []).append(run.id)
    for (before, after), runs in groups.items():
        yield from wrapped(f"{before} -> {after}: {', '.join(runs)}", "   ")


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
    return json_text(design, said=step.said, today=standing_json(today), proposals=[_proposal_json(one) for one in step.proposals])


def _proposal_json(one: Proposal) -> dict[str, Any]:
    sizes = {run.id: run.size for run in one.design.runs}
    found = {"title": one.title, "reason": one.reason, "standing": standing_json(one.standing), "sizes": sizes}
    return found | _shifts(one) if isinstance(one, Substitute) else found


def _shifts(one: Substitute) -> dict[str, Any]:
    kinds = {"speeds": one.speeds, "losses": one.losses, "flows": one.flows}
    return {kind: [picked(shift, "what", "gate_set", "before", "after") for shift in shifts] for kind, shifts in kinds.items()}

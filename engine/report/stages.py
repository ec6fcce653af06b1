"""Stages of buying as plain text that fits 80 columns, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.design import Design
from engine.parts.stages import Stage, at_work, least
from engine.report.parts import CURRENCY
from engine.report.pen import json_text, paged, picked
from engine.report.searches.sizing import ESTIMATE

_STAGED = "Pipe by its length here, not by whole sticks. Until its next run hangs, shut what is left open with a cap."


def stages_text(design: Design, budget: float | None, found: Sequence[Stage]) -> str:
    """What to buy first, so that machines work soonest: stage after stage, with the sum so far; without a budget a machine a stage."""
    money = design.currency or CURRENCY
    head = "what to hang first, a machine a stage" if budget is None else f"bought in stages of at most {budget:.2f}"
    notes = (line for note in (_STAGED, ESTIMATE) for line in paged(f"- {note}"))
    return "\n".join([*paged(f"{design.name}: {head}; prices {money}"), *_lines(design, budget, found), "", *notes])


def _lines(design: Design, budget: float | None, found: Sequence[Stage]) -> Iterator[str]:
    if ready := at_work(design):
        yield from ("", *paged(f"What is bought already makes work: {', '.join(ready)}"))
    so_far = 0.0
    for number, stage in enumerate(found, 1):
        so_far += stage.price
        over = ", more than the budget" if stage.over else ""
        works = f"then work: {', '.join(stage.machines)}" if stage.machines else "no machine works yet"
        yield from ("", *paged(f"{number}. {stage.price:.2f}, {so_far:.2f} so far{over}; {works}"))
        yield from paged(f"hang {', '.join(stage.runs)}", "   ")
        if stage.unpriced:
            yield from paged(f"no price of {', '.join(stage.unpriced)}: it costs more than that", "   ")
    if not found:
        yield from ("", "Nothing is to be bought.")
    elif budget is not None and any(stage.over or not stage.machines for stage in found):
        yield from ("", *paged(_told(design, over=any(stage.over for stage in found))))


def _told(design: Design, *, over: bool) -> str:
    """The least budgets that work."""
    limits = least(design)
    alone = f"One run alone costs more: a budget wants to be at least {limits.any_stage:.2f}. " if over else ""
    return f"{alone}With at least {limits.machine:.2f} a machine works after the first stage."


def stages_json(design: Design, budget: float | None, found: Sequence[Stage]) -> str:
    """The stages as JSON text; `least` are the least budgets: of any stage, and of one that makes a machine work."""
    rows = [picked(stage, "machines", "runs", "price", "over", "unpriced") for stage in found]
    return json_text(design, budget=budget, at_work=list(at_work(design)), stages=rows, least=picked(least(design), "any_stage", "machine"))

"""Remedies as plain text that fits 80 columns, one a line, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from engine.design import Design
from engine.design.differences import changes
from engine.report.pen import beside, finding_json, headed, in_money, json_text, numbered, picked, standing_json, standing_text, wrapped
from engine.search.proposals import Standing
from engine.search.ranking import IN_WORDS
from engine.search.remedies.remedy import Remedy
from engine.units.words import percent

_TITLE = 44
_MOST = 20


def as_text(design: Design, was: Standing, found: Sequence[Remedy], told: int = 1, said: str = "") -> str:
    """The best remedies in rows, best first, with the share of the machine that is neediest now and then; the one of number `told` at length.

    `said` is what the search says of all it tried.
    """
    return "\n".join(_lines(design, was, found, told, said))


def _lines(design: Design, was: Standing, found: Sequence[Remedy], told: int, said: str) -> Iterator[str]:
    yield from headed(design)
    yield from wrapped(f"now: {standing_text(was)}")
    yield from wrapped(said) if said else ()
    if not found:
        yield from ("", "No single change was found that helps.")
        return
    yield from ("", f"{'':>3} {'what to change':<{_TITLE}} {'share':>7} {'faults':>6} {'cautions':>8} {'price':>7}")
    changing = [(number, one) for number, one in enumerate(found, 1) if not one.upkeep]
    for number, one in changing[:_MOST]:
        yield from _rows(number, one)
    if len(changing) > _MOST:
        yield f"    and {len(changing) - _MOST} more, see --json"
    if upkeep := [(number, one) for number, one in enumerate(found, 1) if one.upkeep]:
        yield "    upkeep, which changes nothing that was built:"
        for number, one in upkeep:
            yield from _rows(number, one)
    money = f" (price{in_money(design)})" if design.currency else ""
    yield from (
        "",
        *wrapped(
            "share: what the machine that gets least gets of its need, cut to a whole per cent. "
            f"faults, cautions, price: more or less than now{money}. {IN_WORDS}"
        ),
    )
    yield from ("", *numbered(told, found[told - 1], "   "))


def _rows(number: int, one: Remedy) -> Iterator[str]:
    """The changes of a remedy, each from a line of its own on, the figures in the first."""
    effect, titles = one.effect, [change.title for change in one.changes]
    before, after = ("--" if share is None else percent(share) for share in (effect.before.share, effect.after.share))
    moved = f"{after}%" if after == before else f"{before}>{after}%"
    price = f"{effect.price:+.2f}" if abs(effect.price) >= 0.005 else "."
    more = (effect.after.faults - effect.before.faults, effect.after.cautions - effect.before.cautions)
    faults, few = (f"{count:+d}" if count else "." for count in more)
    first, *rest = beside(titles[0], _TITLE, f" {moved:>7} {faults:>6} {few:>8} {price:>7}")
    yield f"{number:>3} {first}"
    yield from (f"    {line}" for line in rest)
    for title in titles[1:]:
        yield from (f"    {line}" for line in wrapped(f"and {title}", width=_TITLE))


def as_json(design: Design, was: Standing, found: Sequence[Remedy], said: str = "") -> str:
    """All remedies as JSON text, best first; shares of a need, prices in the currency of the stock."""
    return json_text(design, said=said, standing=standing_json(was), remedies=[_remedy_json(design, one) for one in found])


def _remedy_json(design: Design, one: Remedy) -> dict[str, Any]:
    return {
        "title": one.title,
        "changes": [change.title for change in one.changes],
        "reason": one.reason,
        "standing": standing_json(one.standing),
        **picked(one.effect, "share", "price"),
        "upkeep": one.upkeep,
        "less_air": [picked(loss, "port", "gate_set", "before", "after") for loss in one.effect.losses],
        "cleared": [finding_json(finding) for finding in one.effect.cleared],
        "added": [finding_json(finding) for finding in one.effect.added],
        "differences": [picked(row, "what", "before", "after") for row in changes(design, one.design)],
    }

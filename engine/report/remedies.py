"""Remedies as plain text that fits 80 columns, one a line, and as JSON in SI base units."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from engine.design import Design
from engine.design.differences import changes
from engine.report.assessment import cut, finding_json, wrapped
from engine.search.proposals import Standing
from engine.search.remedies.effect import Effect, Remedy
from engine.units.words import counted, percent, share_text

JSON_FORMAT = 1
_TITLE = 47
_MOST = 20


def as_text(design: Design, was: Standing, found: Sequence[Remedy]) -> str:
    """The best remedies in rows, best first, with the share of the machine that is neediest now and then."""
    return "\n".join(_lines(design, was, found))


def _lines(design: Design, was: Standing, found: Sequence[Remedy]) -> Iterator[str]:
    yield from wrapped(design.name)
    standing = f"{counted(was.faults, 'fault')}, {counted(was.cautions, 'caution')}"
    if was.share is None:
        yield from wrapped(f"now: a gate set has no answer; {standing}")
    else:
        yield from wrapped(f"now: neediest {was.port} in {was.gate_set}, {share_text(was.share)} of its need; {standing}")
    if not found:
        yield from ("", "No single change was found that helps.")
        return
    yield from ("", f"{'':>3} {'what to change':<{_TITLE}} {'share':>7} {'faults':>6} {'caut.':>5} {'price':>7}")
    said_worse = False
    for number, one in enumerate(found[:_MOST], 1):
        if one.effect.worse and not said_worse:
            said_worse = True
            yield "    and these, which make something else worse:"
        yield from _rows(number, one)
    if len(found) > _MOST:
        yield f"    and {len(found) - _MOST} more, see --json"
    yield from ("", *wrapped("share: what the machine that gets least gets of its need. faults, cautions, price: more or less than now."))
    yield from ("", *wrapped(f"1. {found[0].title}: {found[0].reason}", "   "))


def _rows(number: int, one: Remedy) -> Iterator[str]:
    """A line for each change of a remedy, the figures in the first."""
    effect, titles = one.effect, [change.title for change in one.changes]
    before, after = ("--" if share is None else percent(share) for share in (effect.before.share, effect.after.share))
    moved = f"{after}%" if after == before else f"{before}>{after}%"
    price = f"{effect.price:+.2f}" if abs(effect.price) >= 0.005 else "."
    faults, few = (f"{effect.net(severity):+d}" if effect.net(severity) else "." for severity in ("fault", "caution"))
    yield f"{number:>3} {cut(titles[0], _TITLE):<{_TITLE}} {moved:>7} {faults:>6} {few:>5} {price:>7}"
    yield from (f"    {cut(f'and {title}', _TITLE)}" for title in titles[1:])


def as_json(design: Design, was: Standing, found: Sequence[Remedy]) -> str:
    """All remedies as JSON text, best first; shares of a need, prices in the currency of the stock."""
    report = {
        "format": JSON_FORMAT,
        "design": design.name,
        "standing": _standing(was),
        "remedies": [
            {
                "title": one.title, "changes": [change.title for change in one.changes], "reason": one.reason,
                "standing": _standing(one.standing), **_effect(one.effect),
                "differences": [
                    {"what": row.what, "before": row.before, "after": row.after} for row in changes(design, one.design)
                ],
            }
            for one in found
        ],
    }  # fmt: skip
    return json.dumps(report, indent=2, ensure_ascii=False, allow_nan=False)


def _standing(of: Standing) -> dict[str, Any]:
    return {name: getattr(of, name) for name in ("share", "port", "gate_set", "faults", "cautions", "price")}


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "share": effect.share, "price": effect.price, "score": effect.score, "worse": effect.worse,
        "cleared": [finding_json(finding) for finding in effect.cleared],
        "added": [finding_json(finding) for finding in effect.added],
    }  # fmt: skip

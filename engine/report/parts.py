"""The take-off as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees
from typing import Any

from engine.design import BLUNT, Design, LeftOver, stock_sizes, system
from engine.parts.called import bores_in_words
from engine.parts.price import price_of
from engine.parts.takeoff import Item, TakeOff, against
from engine.report.pen import beside, json_text, paged
from engine.units import show
from engine.units.words import counted, rough_length

_WHAT = 45
CURRENCY = "in the currency of the stock's prices"
# Lengths nearer to each other than this are alike, m; of these kinds they are told roughly.
_ALIKE = 0.005
_ROUGH = ("tape", "earthing wire")
SMALL_PRINT = (
    "Pipe is priced as whole sticks where it is sold so, hose by its length.",
    "A fitting without a price counts as some metres of its pipe, told with a * (judgement); what has no price then either is in no sum.",
    "Hangers, screws, tape and wire follow rules of thumb (engine/catalog/data/joining.toml); check fittings against your pipe before you buy.",
)


def as_text(design: Design, found: TakeOff, left: TakeOff | None = None) -> str:
    """Every line with its count, the price of one and of all; `left` is what is still to be bought, if that is less."""
    lines = [*paged(f"{design.name}: parts"), "", f"{'':>6}  {'':<{_WHAT}}{'each':>12}{'price':>12}"]
    for item in found.items:
        lines += _row(f"{item.count}", item_text(item, design), each_text(item), price_text(item))
    for told in totals(design, found, left):
        lines += ["", *paged(told)]
    if design.left_over:
        lines += ["", *paged("left over of what was bought:"), *(line for one in design.left_over for line in paged(left_over_text(one), "  "))]
    return "\n".join([*lines, "", *_notes(found)])


def totals(design: Design, found: TakeOff, left: TakeOff | None = None) -> Iterator[str]:
    """What it comes to, in sentences: the prices there are, what is estimated beside them, what is in no sum; and the price searches tell."""
    blank = sum(item.price is None and item.estimate is None for item in found.items)
    guess = f"; with {found.estimated:.2f} estimated (*) about {found.total + found.estimated:.2f}" if found.estimated else ""
    missing = f"; {counted(blank, 'line')} without a price" if blank else ""
    still = f"; of that still to buy {left.total + left.estimated:.2f}" if left and left.items != found.items else ""
    yield f"total {found.total:.2f} {design.currency or CURRENCY}{guess}{missing}{still}"
    by_metre = price_of(design)
    over = ", what is left over counted too" if any(one.worth for one in design.left_over) else ""
    if by_metre.total:
        yield f"Searches and stages tell {by_metre.total:.2f} for the same ducts: pipe by the metre as it is drawn, not by sticks{over}."


def left_over_text(one: LeftOver) -> str:
    """A part left over in words: "straight, spiral/160, 1.2 m, of main, paid 15.12"."""
    paid = f"paid {one.worth:.2f}" if one.worth else ""
    return ", ".join(filter(None, (one.part, one.size, one.length.text if one.length else "", f"of {one.of}", paid)))


def against_text(design: Design, found: TakeOff, other: Design, others: TakeOff) -> str:
    """Two lists line by line: what the one wants, what the other, and how many more or fewer it is."""
    lines = [*paged(f"{design.name}: parts, beside those of {other.name}"), "", f"{'':>6}  {'':<{_WHAT}}{'other':>12}{'more, fewer':>12}"]
    for item, ours, theirs in against(found.items, others.items):
        count, before = (one.count if one else 0 for one in (ours, theirs))
        what = item_text(item, design)
        length = (ours.length or 0.0 if ours else 0.0) - (theirs.length or 0.0 if theirs else 0.0)
        more = f"{count - before:+d}" if count != before else f"{show(length, 'length', system(design))}" if abs(length) > _ALIKE else "="
        lines += _row(f"{count}", what, f"{before}", more)
    change = f"total {found.total:.2f}, other {others.total:.2f} {design.currency or CURRENCY}: {found.total - others.total:+.2f}"
    return "\n".join([*lines, "", *paged(change), "", *_notes(found)])


def _notes(found: TakeOff) -> Iterator[str]:
    for doubt in (*found.doubts, *SMALL_PRINT):
        yield from paged(f"- {doubt}")


def _row(count: str, what: str, *columns: str) -> Iterator[str]:
    first, *rest = beside(what, _WHAT, "".join(f"{column:>12}" for column in columns))
    yield f"{count:>6}  {first}"
    yield from (f"{'':>6}  {line}" for line in rest)


def item_text(item: Item, design: Design) -> str:
    """A line in words: "elbow 90 deg, spiral/125, segmented, r = 1.5 bores"."""
    units = system(design)
    what = item.name if item.kind == "part" else item.kind
    shape = f"{item.make}, r = {item.radius:g} bores" if item.make and item.make != "mitred" else item.make
    material = item.name if item.kind == "straight" else ""
    words = (f"{what}{_angle_text(item)}", item.size or "", material, _bores_text(item, design), shape, _length_text(item, units))
    return ", ".join(word for word in words if word)


def _angle_text(item: Item) -> str:
    if item.angle is None:
        return ""
    return " blunt" if item.kind == "taper" and item.angle == BLUNT else f" {degrees(item.angle):.3g} deg"


def _bores_text(item: Item, design: Design) -> str:
    """The bores that its size does not say: "160 x 160 x 125 mm"."""
    if not item.bores or (item.size and len(item.bores) == 1):
        return ""
    return bores_in_words(item.bores, item.size, stock_sizes(design), system(design))


def _length_text(item: Item, units: str) -> str:
    """How much of it there is, and what is bought for it."""
    if item.length is None:
        return ""
    if item.kind in _ROUGH:
        return rough_length(item.length, units)
    length = show(item.length, "length", units)
    return f"{length}; {counted(item.sticks, 'stick')}, {show(item.bought, 'length', units)}" if item.bought and item.sticks else length


def each_text(item: Item) -> str:
    """The price of one, or of a length; "" where there is none."""
    if item.each is None:
        return ""
    return f"{item.each:.2f}/{item.per}" if item.per else f"{item.each:.2f}"


def price_text(item: Item) -> str:
    """The price of a line, its estimate with a star, or that there is none."""
    if item.price is None:
        return "no price" if item.estimate is None else f"* {item.estimate:.2f}"
    return f"{item.price:.2f}"


def as_json(design: Design, found: TakeOff) -> str:
    """The take-off as JSON text: bores and lengths in m, angles in rad, prices in the currency of the stock."""
    return json_text(
        design, items=[_item_json(item) for item in found.items], total=found.total, unpriced=found.unpriced, estimated=found.estimated,
        by_metre=round(price_of(design).total, 2), left_over=[_left_over_json(one) for one in design.left_over], doubts=list(found.doubts),
    )  # fmt: skip


def _left_over_json(one: LeftOver) -> dict[str, Any]:
    return {"part": one.part, "size": one.size, "length": one.length and _rounded(one.length.si), "of": one.of, "worth": one.worth}


def against_json(design: Design, found: TakeOff, other: Design, others: TakeOff) -> str:
    """Two lists line by line as JSON text: `other` is the line of the other design, or null; `count` is 0 where only that has it."""
    items = []
    for item, ours, theirs in against(found.items, others.items):
        told = _item_json(item) if ours else _item_json(item) | {"count": 0, "price": 0.0}
        items.append(told | {"other": _item_json(theirs) if theirs else None})
    return json_text(design, items=items, total=found.total, unpriced=found.unpriced, other={"design": other.name, "total": others.total})


def _item_json(item: Item) -> dict[str, Any]:
    stock = item.size.partition("/")[0] if item.size else None
    bores = [round(bore, 7) for bore in item.bores]
    told: dict[str, Any] = {"kind": item.kind, "stock": stock, "size": item.size, "bores": bores, "count": item.count}
    optional = {
        "name": item.name or None, "angle": item.angle, "make": item.make or None, "radius": item.radius, "length": _rounded(item.length),
        "bought": _rounded(item.bought), "sticks": item.sticks or None, "estimate": item.estimate,
    }  # fmt: skip
    return told | {key: value for key, value in optional.items() if value is not None} | {"price": item.price}


def _rounded(length: float | None) -> float | None:
    return None if length is None else round(length, 7)

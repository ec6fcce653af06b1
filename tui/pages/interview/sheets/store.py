"""The store in the interview: families of the catalog picked whole, and a page of prices and true bores for each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from engine import catalog
from engine.catalog.kinds import usual_first
from engine.design import Stock, StockSize
from engine.design.entries import entries
from engine.design.places import DESIGN, StockAt
from engine.design.typed import read_figure
from engine.survey.answers import Answers, with_family, with_size
from engine.survey.breath import words_of
from engine.units import show
from tui.pages.interview.rows import NEXT, Row, Taken, box, breath, set_fields, typed
from tui.pages.interview.sheets.machines import source_of
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.values import BadValue

# What a line of a size says, in this order.
_OF_SIZE = ("bore", "price", "elbow_price", "wye_price", "taper_price")


def _store(answers: Answers) -> Sheet:
    rows: list[Row] = []
    for family in usual_first(catalog.pipe_families(), answers.units):
        held = next((stock for stock in answers.shop.stock if stock.id == family.id), None)
        note = f" {family.note[:1].upper()}{family.note[1:]}." if family.note else ""
        rows.append(Row(family.name, box(held is not None), about=f"{source_of(family)}{note}", pick=partial(with_family, answers, family.id)))
        for size in held.sizes if held else ():
            bore = f"{show(size.bore.si, 'bore', answers.units)} inside"
            pick = partial(with_size, answers, family.id, size.nominal)
            rows.append(Row(f"  {size.nominal}", box(size.in_store is not False), bore, "The draft takes what the store has.", pick=pick))
    words = (
        "Which pipe and hose does your store have, and which of their sizes? "
        "The draft takes the first pipe marked: families seldom mate. None: the usual one. Prices stand on a page of their own."
    )
    return Sheet("in store", words, (NEXT, *rows))


def stock(answers: Answers, index: int) -> Sheet:
    """The page of one family in store: the length it is sold in, true bores, prices."""
    place, shown = StockAt(index), answers.shop.stock[index]
    rows = (
        typed(answers, DESIGN, "currency", "currency"),
        typed(answers, place, "stick", "stick"),
        typed(answers, place, "price_per", "price per"),
        *(_size(answers, index, i) for i in range(len(shown.sizes))),
    )
    return Sheet(shown.id, "What does it cost, and what is it inside? Measure one: a nominal size often is not its bore.", rows)


def _size(answers: Answers, index: int, at: int) -> Row:
    held: Stock = answers.shop.stock[index]
    size = held.sizes[at]
    per = held.price_per or "m"
    about = (
        f"Bore inside, then prices: per {per}, of an elbow, a wye, a reducer, as {size.bore.text} 9.40 12 18 8; "
        "leave out the last ones where you do not know them."
    )
    text = " ".join([size.bore.text, *(f"{price:g}" for name in _OF_SIZE[1:] if (price := getattr(size, name)) is not None)])

    def take(typed: str) -> Taken:
        made = _read_size(size, typed, answers.units)
        sizes = (*held.sizes[:at], made, *held.sizes[at + 1 :])
        return set_fields(answers, StockAt(index), {"sizes": sizes}), _told(made, per)

    return breath(size.nominal, text, about, take)


def _read_size(size: StockSize, text: str, units: str) -> StockSize:
    words = words_of(text)
    if not 1 <= len(words) <= len(_OF_SIZE):
        raise BadValue("wanted its bore, then prices: of a length, of an elbow, of a wye, of a reducer")
    table = entries(StockSize)
    found = {name: read_figure(table[name], word, units) for name, word in zip(_OF_SIZE, words, strict=False)}
    return replace(size, **{**dict.fromkeys(_OF_SIZE[1:]), **found})


def _told(size: StockSize, per: str) -> str:
    names = (f"per {per}", "an elbow", "a wye", "a reducer")
    prices = [f"{getattr(size, key):g} {name}" for key, name in zip(_OF_SIZE[1:], names, strict=True) if getattr(size, key) is not None]
    return ", ".join([f"{size.bore.text} inside", *prices])


SHEETS: dict[str, Callable[[Answers], Sheet]] = {"store": _store}

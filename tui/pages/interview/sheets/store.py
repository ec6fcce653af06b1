"""The store in the interview: families of the catalog picked whole, and a page of sizes, prices and true bores for each."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from engine import catalog
from engine.catalog.kinds import usual_first
from engine.design import Stock, StockSize
from engine.design.entries import entries
from engine.design.places import DESIGN, StockAt
from engine.design.typed import read_figure
from engine.search.layouts.shop_defaults import USUAL_STOCK
from engine.survey.answers import Answers, with_family, with_sizes
from engine.survey.breath import is_figure, words_of
from engine.survey.store import store_told, with_store
from engine.units.words import listed
from tui.pages.interview.rows import Row, Taken, box, breath, set_fields, sound, typed
from tui.pages.interview.sheets.machines import source_of
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.values import BadValue

# The prices of a size, in the order they are typed, by what they are of.
_PRICES = {"": "price", "elbow": "elbow_price", "wye": "wye_price", "reducer": "taper_price", "gate": "gate_price"}
_BETWEEN_SIZES = re.compile(r"\s*[,;]\s*")
_MOST_NAMED = 4


def _store(answers: Answers) -> Sheet:
    shop = answers.shop
    rows = [_store_file(answers)]
    if shop.shelf and shop.shelf.missing and shop.stock:
        rows.append(
            Row(f"make {shop.store}", "+", about="Writes what is marked below into it, with its prices, for other designs too.", asks="store file")
        )
    theirs = {stock.id for stock in shop.shelf.stock} if shop.shelf else set[str]()
    for i, held in enumerate(shop.stock):
        if held.id in theirs:
            rows.append(
                Row(held.id, box(True), _in_store(held), f"As {shop.store} has it; what you change of it holds in this shop.", leads=f"stock {i}")
            )
    rows += [_family(answers, family) for family in usual_first(catalog.pipe_families(), answers.units) if family.id not in theirs]
    onward = "go on" if shop.stock else f"go on with the usual: {', '.join(USUAL_STOCK[answers.units])}"
    words = (
        "Which pipe and hose does your store have? Enter marks one. A draft is made in each pipe marked, never in two at once: families seldom "
        "mate. Sizes and prices of each stand on a page of its own, next."
    )
    return Sheet("in store", words, (Row(onward, asks="next"), *rows))


def _store_file(answers: Answers) -> Row:
    """The file of stock that several designs share."""
    about = "A file of stock that several designs share, as store.toml beside them: one that is there is read, another may be made."

    def take(text: str) -> Taken:
        after = answers.with_shop(sound(answers.shop, with_store(answers.shop, Path(answers.folder), text.strip())))
        return after, store_told(after.shop)

    return breath("store file", answers.shop.store or "", about, take)


def _family(answers: Answers, family: catalog.PipeFamily) -> Row:
    """A family of the catalog, in store or not."""
    held = next((stock for stock in answers.shop.stock if stock.id == family.id), None)
    note = f" {family.note[:1].upper()}{family.note[1:]}." if family.note else ""
    pick = partial(with_family, answers, family.id)
    return Row(family.name, box(held is not None), _in_store(held) if held else "", f"{source_of(family)}{note}", pick=pick)


def _in_store(held: Stock) -> str:
    return listed([size.nominal for size in held.sizes if size.in_store is not False], _MOST_NAMED)


def stock(answers: Answers, index: int) -> Sheet:
    """The page of one family in store: the sizes it is there in, the length it is sold in, true bores, prices."""
    place, shown = StockAt(index), answers.shop.stock[index]
    rows = (
        *([typed(answers, DESIGN, "currency", "currency")] if index == 0 else []),
        _sizes(answers, index),
        typed(answers, place, "stick", "stick"),
        typed(answers, place, "price_per", "price per"),
        *(_size(answers, index, i) for i, size in enumerate(shown.sizes) if size.in_store is not False),
    )
    words = "Which sizes are there, what do they cost, and what are they inside? Measure one: a nominal size often is not its bore."
    return Sheet(shown.id, words, rows)


def _sizes(answers: Answers, index: int) -> Row:
    held: Stock = answers.shop.stock[index]
    known = [size.nominal for size in held.sizes]
    text = ", ".join(size.nominal for size in held.sizes if size.in_store is not False)

    def take(typed: str) -> Taken:
        parts = _BETWEEN_SIZES.split(typed.strip())
        named = [_named(part, known) for part in (parts[0].split() if len(parts) == 1 and parts[0] not in known else parts) if part]
        if not named:
            raise BadValue(f"wanted sizes that the store has of {', '.join(known)}; the list before this takes the whole family out")
        return with_sizes(answers, held.id, named), f"in store: {', '.join(dict.fromkeys(named))}"

    return breath("sizes", text, f"The sizes the store has, of {', '.join(known)}.", take)


def _named(part: str, known: Sequence[str]) -> str:
    """The size that a text names, or begins to. Raises BadValue."""
    found = [part] if part in known else [name for name in known if name.split()[0] == part or name.startswith(f"{part} ")]
    if len(found) != 1:
        raise BadValue(f"which {part}? {', '.join(found)}" if found else f"there is no {part}: wanted sizes of {', '.join(known)}")
    return found[0]


def _size(answers: Answers, index: int, at: int) -> Row:
    held: Stock = answers.shop.stock[index]
    size = held.sizes[at]
    per = held.price_per or "m"
    about = (
        f"Prices: per {per}, then of an elbow, a wye, a reducer, a gate, as 9.40 12 18 8 25, or by name, as 9.40 gate 25; ? for one you do not know. "
        f"A true bore has its unit, as {size.bore.text}."
    )
    prices = ["?" if (price := getattr(size, field)) is None else f"{price:g}" for field in _PRICES.values()]
    text = f"{size.bore.text} {' '.join(prices)}".rstrip(" ?")

    def take(typed: str) -> Taken:
        made = _read_size(size, typed, answers.units)
        sizes = (*held.sizes[:at], made, *held.sizes[at + 1 :])
        return set_fields(answers, StockAt(index), {"sizes": sizes}), _told(made, per)

    return breath(size.nominal, text, about, take)


def _read_size(size: StockSize, text: str, units: str) -> StockSize:
    """The size with the prices of a line; a figure with a unit is its bore, which stays where the line has none. Raises BadValue."""
    table = entries(StockSize)
    found: dict[str, object] = dict.fromkeys(_PRICES.values())
    names, of = iter(_PRICES.values()), ""
    for word in words_of(text):
        if word.lower() in _PRICES and not of:
            of = word.lower()
        elif any(letter.isalpha() or letter in "\"'" for letter in word) and is_figure(word):
            found["bore"] = read_figure(table["bore"], word, units)
        elif word == "?" or is_figure(word):
            name = _PRICES[of] if of else next(names, None)
            if name == "price" and word == size.nominal.split()[0]:
                raise BadValue(f"{word} is the size itself: wanted its prices alone, as 9.40 12; a bore has its unit, as {size.bore.text}")
            if name is None:
                raise BadValue("wanted at most five prices: of a length, an elbow, a wye, a reducer, a gate")
            found[name], of = None if word == "?" else read_figure(table[name], word, units), ""
        else:
            raise BadValue(f"{word!r}: wanted prices, by their order or behind elbow, wye, reducer or gate")
    if of:
        raise BadValue(f"wanted the price of the {of}")
    return replace(size, **found)  # type: ignore[arg-type]  # by the table of entries


def _told(size: StockSize, per: str) -> str:
    names = {of: f"an {of}" if of == "elbow" else f"a {of}" if of else f"per {per}" for of in _PRICES}
    prices = [f"{price:g} {names[of]}" for of, field in _PRICES.items() if (price := getattr(size, field)) is not None]
    return ", ".join([f"{size.bore.text} inside", *(prices or ["no prices"])])


SHEETS: dict[str, Callable[[Answers], Sheet]] = {"store": _store}

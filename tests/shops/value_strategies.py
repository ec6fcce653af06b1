"""Values of every entry of a design as people write them, for hypothesis. Invented data."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import strategies as st

from engine import catalog
from engine.catalog.finding_limits import finding_limits
from engine.design import (
    Collector,
    CollectorLoss,
    Conveying,
    Design,
    FittingLength,
    Hose,
    OwnLimit,
    Port,
    Reading,
    Run,
    Site,
    StockSize,
)  # fmt: skip
from engine.design.entries import Entry, entries
from engine.design.names import LONGEST_NAME
from engine.design.rules.record import FIRST_DAY, LAST_DAY, known_limits
from engine.files.design_reader import TypedNumber
from engine.units import Quantity, parse, unit_list
from engine.units.ranges import parse_range

_LETTERS = st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp"))
_LONG_NAMES = [(text * LONGEST_NAME)[:LONGEST_NAME] for text in ("é#", '\\"', "[[", "]'")]
NAMES = st.one_of(
    st.text(_LETTERS, min_size=1, max_size=6), st.text("ab #\"'[]{}=,.\\/", min_size=1, max_size=6), st.sampled_from(_LONG_NAMES)
).filter(str.strip)  # fmt: skip
IDS = NAMES.filter(lambda name: name != "collector" and "/" not in name)
NOTES = st.text(st.one_of(_LETTERS, st.sampled_from("\n\t\"'\\#")), max_size=40)
# Fields whose values hang together with others: given by the strategies below, never drawn alone.
_TIED = {
    Conveying: {"slow_branch", "slow_main", "settles", "fast"}, Collector: {"free_air", "max_suction"},
    CollectorLoss: {"clean", "dirty"}, Port: {"loss", "suction"}, StockSize: {"outside"}, Hose: {"size"},
    Site: {"main_lowest", "main_highest"}, FittingLength: {"length", "bores"}, OwnLimit: {"of", "is_"},
    Reading: {"what", "value", "give_or_take", "at", "port", "test_point", "from_collector"},
    Design: {"store"},
    Run: {"as_", "angle", "toward", "size", "bore", "material", "ends", "joins"},
}  # fmt: skip


_KNOWN = {
    "material": catalog.conveyed_materials, "pipe material": catalog.pipe_materials, "finding": lambda: tuple(finding_limits()),
    "limit": lambda: tuple(known_limits()),
}  # fmt: skip


@cache
def quantities(entry: Entry) -> st.SearchStrategy[Quantity]:
    """Quantities within the limits of an entry, in any of its units."""
    most = min(entry.high, 1e5)
    unit = st.sampled_from(unit_list(entry.dimension).split(", "))
    texts = st.builds(_quantity_text, st.floats(entry.low, most), unit, st.sampled_from([" ", "", "  "]), st.booleans(), st.just(entry.dimension))
    made = texts.map(lambda text: parse(text, entry.dimension)).filter(lambda made: entry.low < made.si <= most)
    words = [st.just(Quantity(value, word)) for word, value in entry.words]
    feet = [st.just(parse("4ft 6 1/2in", "length"))] if entry.dimension == "length" and entry.high > 2 else []
    both = st.lists(made, min_size=2, max_size=2, unique_by=lambda one: one.si).map(lambda pair: sorted(pair, key=lambda one: one.si))
    ranges = [both.map(lambda pair: parse_range(f"{pair[0].text} to {pair[1].text}", entry.dimension))] if entry.ranged else []
    return st.one_of(made, *feet, *words, *ranges)


def _quantity_text(si: float, unit: str, space: str, comma: bool, dimension: str) -> str:
    zero = parse(f"0 {unit}", dimension).si
    value = (si - zero) / (parse(f"1 {unit}", dimension).si - zero)
    number = f"{value:.5g}" if abs(value) > 1e-9 else "0"
    return f"{number.replace('.', ',') if comma and len(number.partition('.')[2]) != 3 else number}{space}{unit}"


@cache
def values(entry: Entry) -> st.SearchStrategy[Any]:
    """Values that an entry takes by itself; numbers also whole ones and ones that keep their text."""
    match entry.kind:
        case "quantity":
            return quantities(entry)
        case "number":
            floats = st.floats(entry.low, min(entry.high, 1e6))
            return st.one_of(floats, st.sampled_from([TypedNumber("1.50"), 1])) if entry.low <= 1 and entry.high > 1 else floats
        case "count":
            return st.integers(int(entry.low), int(entry.high))
        case "flag":
            return st.booleans()
        case "choice":
            return st.sampled_from(entry.choices)
        case "day":
            return st.dates(FIRST_DAY, LAST_DAY)
        case "table":
            return items(entry.item)
        case "text":
            return NOTES if entry.key == "notes" else IDS if entry.key == "id" else NAMES
    if entry.lasting:
        return NAMES
    return st.sampled_from(_KNOWN[entry.refers_to]())


def _is_small_table(entry: Entry) -> bool:
    return entry.kind == "table" and entry.inline


@st.composite
def items(draw: st.DrawFn, cls: type, **given: Any) -> Any:
    """A `cls` of what is given and about half of its other optional fields."""
    made = dict(given)
    free = {
        name: entry for name, entry in entries(cls).items()
        if name not in given and name not in _TIED.get(cls, ()) and (entry.kind not in ("list", "names", "table") or _is_small_table(entry))
    }  # fmt: skip
    optional = [name for name, entry in free.items() if not entry.required]
    chosen = draw(st.integers(0, 2 ** len(optional) - 1))
    for name, entry in free.items():
        if entry.required or chosen >> optional.index(name) & 1:
            made[name] = draw(values(entry))
    return cls(**made)

"""Quick cards: the blanks of each, how what is written in them is read, and what comes of it. A card needs no design."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from engine.air.properties import Air, air_of
from engine.design import Site
from engine.units import Quantity, UnitError, parse, show, show_about
from engine.units.arithmetic import calculate, calculate_number
from engine.values import dataclass

# Several values are written into one blank with these between them.
BETWEEN = ";"
# Speeds above this are no duct's of the trade: judgement, in m/s. Above this pressure [Pa] air is no longer as good as incompressible.
_FASTEST, _COMPRESSES = 60.0, 5000.0
_UNIT = re.compile(r"[0-9.,/ ]*[0-9] ?([^0-9., /].*)")


class CardError(ValueError):
    """Blanks that give no answer; str() is one line that says which, and what is wanted."""


@dataclass(frozen=True, slots=True)
class Blank:
    """Something to fill in: its name, its words, its dimension ("" for a bare number), and what holds where it is left empty.

    `most` values can be written into it; each is more than `above` or at
    least `low`, and at most `high`, SI.
    """

    name: str
    words: str
    dimension: str
    usual: str = ""
    most: int = 1
    low: float = -inf
    above: float = -inf
    high: float = inf

    def read(self, text: str, units: str | None) -> tuple[float, ...]:
        """The values in a text, SI; a number without a unit is in that of `units`, and refused where that is None. Raises CardError."""
        texts = [part.strip() for part in text.split(BETWEEN) if part.strip()]
        if len(texts) > 1 and (unit := _UNIT.fullmatch(texts[-1])):
            texts = [part if _UNIT.fullmatch(part) else f"{part} {unit[1]}" for part in texts]
        if len(texts) > self.most:
            raise CardError(f"{self.name}: {len(texts)} values; wanted " + (f"at most {self.most}" if self.most > 1 else "one"))
        return tuple(self._value(part, units) for part in texts)

    def _value(self, text: str, units: str | None) -> float:
        try:
            if not self.dimension:
                value = calculate_number(text)
            else:
                value = (calculate(text, self.dimension, units) if units else parse(text, self.dimension)).si
        except UnitError as error:
            raise CardError(f"{self.name}: {error}") from None
        if value < self.low or value <= self.above or value > self.high:
            raise CardError(f"{self.name}: {text}; wanted {self._wanted(units)}")
        return value

    def _wanted(self, units: str | None) -> str:
        def told(limit: float) -> str:
            if not self.dimension:
                return f"{limit:g}"
            return show_about(limit, self.dimension, units) if units else _both(limit, self.dimension)

        least = f"more than {told(self.above)}" if self.above > -inf else f"at least {told(self.low)}"
        return f"{least}, at most {told(self.high)}" if self.high < inf else least


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of an answer: its name, its value in SI, its dimension, "" for a bare number."""

    name: str
    value: float
    dimension: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What comes of a card: figures, the likeliest wanted first, and remarks on what to doubt."""

    figures: tuple[Figure, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Given:
    """What was written into a card: values by the name of the blank, SI, and the air."""

    values: Mapping[str, tuple[float, ...]]
    air: Air

    def has(self, name: str) -> bool:
        """Whether a blank was filled in."""
        return bool(self.values.get(name))

    def one(self, name: str) -> float:
        """The value of a blank. Raises CardError where it is empty."""
        return self.all(name)[0]

    def all(self, name: str) -> tuple[float, ...]:
        """The values of a blank. Raises CardError where it is empty."""
        if not self.has(name):
            raise CardError(f"{name} is wanted")
        return self.values[name]

    def flow_or_speed(self, area: float) -> float:
        """The flow [m3/s], given as it is or as a speed in an area [m2]. Raises CardError unless exactly one of the two is given."""
        if self.has("flow") == self.has("speed"):
            raise CardError("one of flow and speed is wanted, not both" if self.has("flow") else "flow or speed is wanted")
        return self.one("flow") if self.has("flow") else self.one("speed") * area


@dataclass(frozen=True, slots=True)
class Card:
    """A card: its name, its title, its blanks, what makes an answer of them, and the source of how.

    `place` says of the so-many-th value of a blank where it is to be read,
    "" where that is all the same.
    """

    name: str
    title: str
    blanks: tuple[Blank, ...]
    work: Callable[[Given], Answer]
    source: str
    place: Callable[[Mapping[str, tuple[float, ...]], str, int], tuple[float, ...]] = lambda _given, _name, _index: ()


AIR = (
    Blank("temperature", "of the air", "temperature", low=233.15, high=333.15),
    Blank("altitude", "of the shop", "length", low=-500.0, high=11000.0),
)


def given(card: Card, texts: Mapping[str, str], site: Site, units: str | None = None) -> Given:
    """What is written into a card, read; empty blanks as they usually are, the air that of a site unless the card says another.

    Raises CardError for a blank that there is not, and for what cannot be read.
    """
    blanks = {blank.name: blank for blank in card.blanks}
    for name in texts:
        if name not in blanks:
            raise CardError(f"{card.name} has no {name!r}; wanted one of {', '.join(blanks)}")
    values = {}
    for name, blank in blanks.items():
        text = texts.get(name, "").strip()
        values[name] = blank.read(text, units) if text else blank.read(blank.usual, None)
    temperature, altitude = (values.get(blank.name) for blank in AIR)
    if temperature:
        site = replace(site, temperature=Quantity(temperature[0], ""))
    if altitude:
        site = replace(site, altitude=Quantity(altitude[0], ""))
    return Given(values, air_of(site))


def answer(card: Card, texts: Mapping[str, str], site: Site, units: str | None = None) -> Answer:
    """What comes of what is written into a card, with a remark where that is hardly so, and the air it holds in. Raises CardError."""
    known = given(card, texts, site, units)
    found = card.work(known)
    of_air = AIR[0] in card.blanks
    air = (f"in air of {_both(known.air.density, 'density')}",) if of_air else ()
    return replace(found, remarks=(*_doubts(found.figures, of_air=of_air), *found.remarks, *air))


def _doubts(figures: Sequence[Figure], *, of_air: bool) -> Iterator[str]:
    """What hardly can be of some figures, in words; pressures are `of_air` in a duct, or of a gauge."""
    if any(figure.dimension == "speed" and figure.value > _FASTEST for figure in figures):
        yield f"faster than {_both(_FASTEST, 'speed')}, which no duct of this trade sees: look at the units"
    if of_air and any(figure.dimension == "pressure" and figure.value > _COMPRESSES for figure in figures):
        yield f"above {_both(_COMPRESSES, 'pressure')} air is compressed, and these formulas no longer hold"


def _both(value: float, dimension: str) -> str:
    """A value in metric and imperial units."""
    metric, imperial = (show(value, dimension, units) for units in ("metric", "imperial"))
    return metric if metric == imperial else f"{metric} ({imperial})"


def card_named(cards: Sequence[Card], name: str) -> Card:
    """The card of a name. Raises CardError where there is none."""
    for card in cards:
        if card.name == name:
            return card
    raise CardError(f"no card {name!r}; wanted one of {', '.join(card.name for card in cards)}")

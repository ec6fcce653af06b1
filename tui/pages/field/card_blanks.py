"""A card being filled in: which row is typed into, what stands in each blank. Immutable; knows nothing of the screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field, replace

from engine.design import Site
from engine.field.cards import AIR, BETWEEN, Answer, Blank, Card, CardError, Figure, answer, given
from engine.field.deck import DECK, GAUGE
from engine.values import dataclass
from tui.draw.text_edit import TextEdit

Values = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CardRow:
    """A row to type into: its blank, which value of it, and what stands there."""

    blank: Blank
    index: int
    text: str


@dataclass(frozen=True, slots=True)
class Filling:
    """The deck being filled in. `texts` are the values written into each blank of each card; `edit` is the row being typed into."""

    units: str
    site: Site
    at: int = 0
    row: int = 0
    texts: Mapping[tuple[str, str], Values] = field(default_factory=dict)
    edit: TextEdit = field(default_factory=lambda: TextEdit("", 0))

    @property
    def card(self) -> Card:
        """The card in front."""
        return DECK[self.at]

    @property
    def rows(self) -> tuple[CardRow, ...]:
        """Its rows: one a blank, and of a blank that takes several values one for each and one for the next."""
        return tuple(self._rows())

    def _rows(self) -> Iterator[CardRow]:
        for blank in self.card.blanks:
            values = self.texts.get((self.card.name, blank.name), ())
            for index in range(min(len(values) + 1, blank.most)):
                yield CardRow(blank, index, values[index] if index < len(values) else "")

    def moved(self, by: int) -> Filling:
        """Another row is typed into; what stands there is selected."""
        row = (self.row + by) % len(self.rows)
        return replace(self, row=row, edit=TextEdit.of(self.rows[row].text))

    def turned(self, by: int) -> Filling:
        """Another card, at its first row."""
        return replace(self, at=(self.at + by) % len(DECK), row=0).moved(0)

    def typed(self, edit: TextEdit) -> Filling:
        """What is typed now stands in its blank."""
        here = self.rows[self.row]
        key = self.card.name, here.blank.name
        values = list(self.texts.get(key, ()))
        text = edit.text.strip()
        if here.index < len(values):
            values[here.index : here.index + 1] = [text] if text else []
        elif text:
            values.append(text)
        return replace(self, texts={**self.texts, key: tuple(values)}, edit=edit)

    def _written(self) -> dict[str, str]:
        return {blank.name: BETWEEN.join(self.texts.get((self.card.name, blank.name), ())) for blank in self.card.blanks}

    def outcome(self) -> Answer | str:
        """What comes of it, or what is wanted still."""
        try:
            return answer(self.card, self._written(), self.site, self.units)
        except CardError as reason:
            return str(reason)

    def density(self) -> float | None:
        """Density [kg/m3] of the air that the card reckons with; None where it needs none."""
        if AIR[0] not in self.card.blanks:
            return None
        told = {name: text for name, text in self._written().items() if name in {blank.name for blank in AIR}}
        try:
            return given(self.card, told, self.site, self.units).air.density
        except CardError:
            return None

    def to_carry(self) -> tuple[Figure, ...]:
        """The figures that a reading can be: of a gauge its pressure, of other cards speeds and flows, their pressures being of velocity."""
        found = self.outcome()
        carried = ("pressure",) if self.card.name == GAUGE else ("flow", "speed")
        return tuple(figure for figure in found.figures if figure.dimension in carried) if isinstance(found, Answer) else ()

    def depth(self, row: CardRow) -> tuple[float, ...]:
        """How deep in the duct the value of a row is read, m; nothing where that is not known or all the same."""
        values: dict[str, tuple[float, ...]] = {}
        try:
            for blank in self.card.blanks:
                if blank.most == 1:
                    text = BETWEEN.join(self.texts.get((self.card.name, blank.name), ()))
                    values[blank.name] = blank.read(text or blank.usual, self.units if text else None)
            return self.card.place(values, row.blank.name, row.index)
        except CardError:
            return ()

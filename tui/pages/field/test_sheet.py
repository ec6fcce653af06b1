"""The test sheet on the field page: the stop at hand, what is typed there, and readings taken into the design."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from engine.design import READ
from engine.field.sheet import Stop
from engine.field.taking import with_baseline, with_point, with_reading
from engine.field.verdicts import impossible
from engine.units import UnitError
from engine.units.arithmetic import calculate
from tui.draw.line_view import LineView
from tui.draw.text_edit import TextEdit
from tui.pages.field.walk import Asked, Walk
from tui.pages.field.walk_lines import walk_lines
from tui.work.asking import Prompt, Question
from tui.work.document import Document
from tui.work.session import Session, session_of

if TYPE_CHECKING:
    pass

_BEGINS = "0123456789.,-("


class TestSheet(LineView, can_focus=True):
    """The stop at hand."""

    help_text = (
        "The readings to take in the gate set shown, from the collector outward: what is expected, and between what it is as it should be. "
        "Type what you read; Enter takes it and goes on. s goes to the next gate set, y says how the filter is. "
        "b makes today's readings the baseline; t tunes the design to it. c tells what is wrong, and asks for the reading that tells most. "
        "Where to drill is told from a run's end towards the collector, going out. "
        "Mind the ladder while the fan runs; drill small holes, and close them with tape or a plug."
    )

    @property
    def key_entries(self) -> tuple[tuple[str, str], ...]:
        """Keys for the key line."""
        return (("Enter", "take, go on"), ("Tab", "causes") if self.screen.has_class("-causes") else ("c", "what is wrong"))

    class Tune(Message):
        """The design is to be tuned to its baseline."""

    class Causes(Message):
        """What is wrong is to be looked for, or no longer."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "go(-1)", "stops", show=False),
        Binding("down,j", "go(1)", "stops", show=False),
        Binding("right", "turn(1)", "gate set", show=False),
        Binding("left", "turn(-1)", "gate set", show=False),
        Binding("b", "baseline", "make today's readings the baseline", show=False),
        Binding("i", "instrument", "what is measured with", show=False),
        Binding("v", "give_or_take", "how far it may be off here", show=False),
        Binding("c", "causes", "what is wrong, and the reading that tells most", show=False),
        Binding("t", "tune", "tune the design to the baseline", show=False),
        Binding("T", "screen.command('SwitchTuning')", "go by the readings, or by the design's own figures", show=False),
    ]

    @property
    def session(self) -> Session:
        """The session that the page is in."""
        return session_of(self)

    @property
    def document(self) -> Document:
        """The design."""
        return self.session.document

    def on_mount(self) -> None:
        """Begin."""
        document = self.document
        self.walk = Walk(document.design, document.gate_set, date.today())
        self._next: Asked | None = None
        self.redraw()

    def on_resize(self) -> None:
        """Lay it out anew."""
        self.redraw()

    def follow(self) -> None:
        """Follow the design and the gate set shown."""
        document = self.document
        if self.walk.gate_set != document.gate_set:
            self.walk = replace(self.walk, at=0, edit=TextEdit("", 0))
        self.walk = replace(self.walk, design=document.design, gate_set=document.gate_set, day=date.today()).kept_within()
        self.redraw()

    def asks_for(self, asked: Asked | None) -> None:
        """Go to a reading that is asked for, once nothing is being typed at another; None: nothing is asked for."""
        self._next = asked
        if self.walk.edit.text or asked == self.walk.asked:
            return
        self.walk = replace(self.walk, asked=asked).kept_within()
        if asked is not None and asked.gate_set in self.document.gate_sets:
            self.walk = replace(self.walk, gate_set=asked.gate_set, at=0)
            self.document.show_gate_set(self.document.gate_sets.index(asked.gate_set))
        self.redraw()

    def redraw(self) -> None:
        """Draw the stop anew."""
        if self.size.width:
            self.show(walk_lines(self.walk, self.size.width, self.size.height, self.session.glyphs))

    # Typing

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the key is typed: a figure begins with a digit, and takes letters then."""
        if character is None or not character.isprintable():
            return bool(self.walk.edit.text) and key == "escape"
        return character in _BEGINS or (bool(self.walk.edit.text) and character != "?")

    def on_key(self, event: events.Key) -> None:
        """Type, take, or leave what is typed."""
        walk = self.walk
        if event.key == "enter":
            self._take()
        elif event.key == "escape" and walk.edit.text:
            self._type(TextEdit("", 0))
        elif self.check_consume_key(event.key, event.character) or (walk.edit.text and event.key in ("backspace", "delete", "home", "end")):
            edit = walk.edit.typed(event.key, event.character)
            if edit is None:
                return
            self._type(edit)
        else:
            return
        event.stop()
        event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """Put in what is pasted."""
        event.stop()
        self._type(self.walk.edit.insert(event.text))

    def _type(self, edit: TextEdit) -> None:
        self.walk = replace(self.walk, edit=edit)
        self.redraw()
        self.asks_for(self._next)

    # Taking

    def _take(self) -> None:
        """Take what is typed into the design and go on; what cannot be is asked about first."""
        walk, stop = self.walk, self.walk.stop
        if stop is None:
            return
        if not walk.edit.text.strip():
            self._go_on()
            return
        try:
            reading = walk.reading(stop, walk.edit.text)
        except UnitError as reason:
            self.session.flash(str(reason), trouble=True)
            return
        if why := impossible(walk.design, reading):
            self.session.ask(Question(f"keep {reading.value}? {why}", lambda key: self._put_in(stop) if key == "y" else None))
        else:
            self._put_in(stop)

    def _put_in(self, stop: Stop) -> None:
        walk = self.walk
        reading = walk.reading(stop, walk.edit.text)
        design = with_reading(with_point(walk.design, stop), reading)
        self._type(TextEdit("", 0))
        if self.session.attempt(lambda: self.document.apply(f"reading at {stop.place}", design)):
            self.follow()
            if self.walk.asked is None:
                self._go_on()

    def _go_on(self) -> None:
        """To the next stop; behind the last one to the first of the next gate set."""
        if not self.walk.last:
            self.action_go(1)
        elif len(self.document.gate_sets) > 1:
            self.action_turn(1)

    # Keys

    def action_go(self, by: int) -> None:
        """To another stop."""
        self.walk = self.walk.moved(by)
        self.redraw()

    def action_turn(self, by: int) -> None:
        """To another gate set."""
        self.document.show_gate_set(self.document.gate_set_index + by)

    def action_causes(self) -> None:
        """Look for what is wrong, or no longer."""
        if self.walk.stop is None:
            self.session.flash("nothing hangs yet: nothing can be wrong with it", trouble=True)
        else:
            self.post_message(self.Causes())

    def action_tune(self) -> None:
        """Tune the design to its baseline."""
        self.post_message(self.Tune())

    def action_baseline(self) -> None:
        """Make today's readings the baseline."""
        design = self.document.design
        marked = with_baseline(design, self.walk.day)
        count = sum(bool(reading.baseline) and reading.date == self.walk.day for reading in marked.readings)
        if not count:
            self.session.flash("no reading of today to make a baseline of", trouble=True)
        elif self.session.attempt(lambda: self.document.apply("baseline", marked)):
            self.session.flash(f"baseline: {count} of today's readings; later ones are held against them")

    def action_instrument(self) -> None:
        """Ask what is measured with."""

        def named(text: str) -> None:
            self.walk = replace(self.walk, instrument=replace(self.walk.instrument, name=text.strip() or None))
            self.redraw()

        self.session.ask(Prompt("measured with", self.walk.instrument.name or "", named))

    def action_give_or_take(self) -> None:
        """Ask how far readings of this kind may be off."""
        stop = self.walk.stop
        if stop is None:
            return
        dimension, units = READ[stop.what], self.document.system
        known = dict(self.walk.instrument.give_or_take)

        def why_not(text: str) -> str | None:
            try:
                return None if not text.strip() or calculate(text, dimension, units).si > 0 else "wanted more than 0"
            except UnitError as reason:
                return str(reason)

        def said(text: str) -> None:
            others = {name: told for name, told in known.items() if name != dimension}
            own = {dimension: calculate(text, dimension, units).text} if text.strip() else {}
            self.walk = replace(self.walk, instrument=replace(self.walk.instrument, give_or_take=tuple((others | own).items())))
            self.redraw()

        self.session.ask(Prompt(f"{dimension}: give or take", known.get(dimension, ""), said, why_not))

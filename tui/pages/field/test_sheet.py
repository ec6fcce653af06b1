"""The sheet of the field page: the gates to set, then the stop at hand; it takes readings into the design as they are typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from engine.design import READ
from engine.field.cards import Figure
from engine.field.sheet import Stop
from engine.field.taking import Instrument, with_point, with_reading
from engine.field.verdicts import impossible
from engine.report.cards import figure_text
from engine.units import UnitError
from tui.draw.line_view import LineView
from tui.draw.text_edit import TextEdit
from tui.pages.field.questions import baseline_question, give_or_take_prompt, instrument_prompt
from tui.pages.field.walk import Asked, Walk
from tui.pages.field.walk_lines import walk_lines
from tui.work.asking import Question
from tui.work.document import Document
from tui.work.session import Session, session_of

_BEGINS = "0123456789.,-("
_NO_BLANK = TextEdit("", 0)
_EDITS = ("backspace", "delete", "home", "end", "left", "right", "ctrl+u", "ctrl+k", "ctrl+w")


class TestSheet(LineView, can_focus=True):
    """The gates to set, or the stop at hand."""

    help_text = (
        "The readings to take in the gate set shown, from the collector outward. Set the gates it names, then Enter begins. "
        "The large figure is what is expected, below it between what the reading is as it should be, your gauge's own doubt counted. "
        "Type what you read; Enter takes it and goes on, Up and Down take it too. p reads the speed here instead. "
        "E opens the quick cards; what comes of one is put into the blank. "
        "s goes to the next gate set, y says how the filter is, l tests the ducts for leaks with all shut. "
        "b makes what is as expected of today's readings the baseline; t tunes the design to it. c tells what is wrong, "
        "and asks for the reading that tells most; from another stop c goes to it, Esc looks no longer. "
        "Where to drill is told from a run's end towards the collector, going out. "
        "Mind the ladder while the fan runs; drill small holes, and close them with tape or a plug."
    )

    class Tune(Message):
        """The design is to be tuned to its baseline."""

    class Causes(Message):
        """What is wrong is to be looked for, or no longer."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "go(-1)", "stops", show=False),
        Binding("down,j", "go(1)", "stops", show=False),
        Binding("right", "turn(1)", "gate set", show=False),
        Binding("left", "turn(-1)", "gate set", show=False),
        Binding("p", "speed", "speed instead, or back", show=False),
        Binding("l", "close", "leak test, or back", show=False),
        Binding("c", "causes", "what is wrong, and the reading that tells most", show=False),
        Binding("b", "baseline", "make today's readings the baseline", show=False),
        Binding("i", "instrument", "what is measured with", show=False),
        Binding("v", "give_or_take", "how far it may be off here", show=False),
        Binding("t", "tune", "tune the design to the baseline", show=False),
        Binding("T", "screen.command('SwitchTuning')", "go by the readings, or by the design's own figures", show=False),
    ]

    @property
    def key_entries(self) -> tuple[tuple[str, str], ...]:
        """Keys for the key line."""
        causes = ("Tab", "causes") if self.screen.has_class("-causes") else ("c", "what is wrong")
        return (("Enter", "begin" if self.walk.at_gates else "take"), causes)

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
        self._next: Asked | None = None
        self._by_hand = False  # whether the stop was gone to by hand, and is not to be left for the one asked for
        self._walk_on(Walk(document.design, document.gate_set, date.today(), document.instrument or Instrument()).at_its_gates())

    def on_resize(self) -> None:
        """Lay it out anew."""
        self.redraw()

    def follow(self) -> None:
        """Follow the design and the gate set shown."""
        document = self.document
        self._by_hand |= document.gate_set != self.walk.shown
        self._walk_on(self.walk.following(document.design, document.gate_set, date.today()))

    def asks_for(self, asked: Asked | None) -> None:
        """Go to a reading that is asked for, unless something is being typed or the stop was gone to by hand; None: nothing is asked for."""
        self._next = asked
        if self.walk.edit.text or asked == self.walk.asked:
            return
        if asked is None:
            self._walk_on(self.walk.beside(None))
        elif self._by_hand:
            self._walk_on(self.walk.beside(asked))
            if not self.walk.at_asked:
                self.session.flash("another reading is asked for: c goes there")
        else:
            self._go_to(asked)

    def _go_to(self, asked: Asked) -> None:
        self._by_hand = False
        self._walk_on(self.walk.asked_for(asked))
        if asked.gate_set in self.document.gate_sets:
            self.document.show_gate_set(self.document.gate_sets.index(asked.gate_set))

    def _walk_on(self, walk: Walk) -> None:
        self.walk = walk
        self.redraw()
        self.refresh_bindings()

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
        """Type, take, or leave what is typed; a letter that is no key is told."""
        walk = self.walk
        typed = self.check_consume_key(event.key, event.character)
        if event.key == "enter":
            self._take(self._go_on)
        elif event.key == "escape" and walk.edit.text:
            self._type(_NO_BLANK)
        elif typed and walk.at_gates:
            self.session.flash("set the gates first: Enter says that they are")
        elif typed or (walk.edit.text and event.key in _EDITS):
            edit = walk.edit.typed(event.key, event.character)
            if edit is None:
                return
            self._type(edit)
        elif event.character and event.character.isalpha() and event.key not in self.screen.active_bindings:
            self.session.flash("a reading begins with a digit; ? tells the keys", trouble=True)
        else:
            return
        event.stop()
        event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """Put in what is pasted."""
        event.stop()
        if not self.walk.at_gates:
            self._type(self.walk.edit.insert(event.text))

    def _type(self, edit: TextEdit) -> None:
        turned = bool(edit.text) != bool(self.walk.edit.text)
        self.walk = replace(self.walk, edit=edit)
        self.redraw()
        if turned:  # keys that are typed mean nothing else
            self.refresh_bindings()
        self.asks_for(self._next)

    def fill(self, figures: tuple[Figure, ...]) -> None:
        """Put what came of a quick card into the blank, where the stop is of its kind."""
        stop = self.walk.stop
        figure = next((one for one in figures if stop and one.dimension == READ[stop.what]), None)
        if figure is not None and not self.walk.at_gates:
            self._type(TextEdit.of(figure_text(figure, self.document.system)))
            self.session.flash("from the quick card: Enter takes it")

    # Taking

    def _take(self, then: Callable[[], object]) -> None:
        """Take what is typed into the design, `then` go on; what cannot be is asked about first, what is no value stays."""
        walk, stop = self.walk, self.walk.stop
        if stop is None or walk.at_gates or not walk.edit.text.strip():
            then()
            return
        try:
            reading = walk.reading(stop, walk.edit.text)
        except UnitError as reason:
            self.session.flash(str(reason), trouble=True)
            return
        if why := impossible(walk.design, reading):
            self.session.ask(Question(f"keep {reading.value}? {why}", lambda key: self._put_in(stop, then) if key == "y" else None))
        else:
            self._put_in(stop, then)

    def _put_in(self, stop: Stop, then: Callable[[], object]) -> None:
        walk = self.walk
        reading = walk.reading(stop, walk.edit.text)
        design = with_reading(with_point(walk.design, stop), reading)
        self._by_hand = then != self._go_on
        self._type(_NO_BLANK)
        if self.session.attempt(lambda: self.document.apply(f"reading at {stop.place}", design)):
            self.follow()
            if self.walk.asked is None or then != self._go_on:  # the next reading to be asked for comes by itself
                then()

    def _go_on(self) -> None:
        """Begin once the gates are set; then to the next stop, unless one is asked for; behind the last one to the gates of the next gate set."""
        walk = self.walk
        if walk.at_gates:
            self._by_hand = not walk.at_asked
            self._walk_on(walk.begun())
        elif walk.at_asked:
            self.session.flash("nothing is typed: type what you read here; Down leaves it out")
        elif not walk.last:
            self._walk_on(walk.moved(1))
        elif walk.closed:
            self.action_close()
        else:
            last_set = self.document.gate_set_index == len(self.document.gate_sets) - 1
            self.action_turn(1)
            if last_set:
                self.session.flash("that was the last reading of the last gate set: b makes a baseline of today's")

    # Keys

    def action_go(self, by: int) -> None:
        """To another stop; what is typed is taken first."""
        self._take(lambda: self._move(by))

    def _move(self, by: int) -> None:
        self._walk_on(self.walk.moved(by))
        self._by_hand = not self.walk.at_asked

    def action_turn(self, by: int) -> None:
        """To the gates of another gate set."""
        self.document.show_gate_set(self.document.gate_set_index + by)

    def action_speed(self) -> None:
        """Read the speed at the stop, or what is read there otherwise."""
        if self.walk.takes_speed and not self.walk.at_gates:
            self._walk_on(replace(self.walk, speed=not self.walk.speed))
        else:
            self.session.flash("no hole here to read a speed in", trouble=True)

    def action_close(self) -> None:
        """To the leak test, or back from it."""
        self._by_hand = True
        self._walk_on(replace(self.walk, closed=not self.walk.closed, edit=_NO_BLANK).at_its_gates())

    def action_causes(self) -> None:
        """Look for what is wrong; to the reading asked for; at it, look no longer."""
        if self.walk.stop is None:
            self.session.flash("nothing hangs yet: nothing can be wrong with it", trouble=True)
        elif self._next is not None and not self.walk.at_asked:
            self._go_to(self._next)
        else:
            self._by_hand = False
            self.post_message(self.Causes())

    def action_tune(self) -> None:
        """Tune the design to its baseline."""
        self.post_message(self.Tune())

    def action_baseline(self) -> None:
        """Ask which of today's readings become the baseline."""
        baseline_question(self.session, self.walk.day)

    def action_instrument(self) -> None:
        """Ask what is measured with."""
        self.session.ask(instrument_prompt(self.walk.instrument, self._measure_with))

    def action_give_or_take(self) -> None:
        """Ask how far readings of this kind may be off."""
        if (stop := self.walk.stop) is not None:
            self.session.ask(give_or_take_prompt(self.walk.instrument, READ[stop.what], self.document.system, self._measure_with))

    def _measure_with(self, instrument: Instrument) -> None:
        """Measure with something from now on, also when the page was left."""
        self.document.instrument = instrument
        self._walk_on(replace(self.walk, instrument=instrument))

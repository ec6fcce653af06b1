"""Everything that reaches into Textual where it has no public way, each with its reason. To be read again with every new version of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from time import monotonic
from typing import Any

from rich.console import Console
from textual import constants
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._compositor import CompositorUpdate
from textual._parser import ParseError, ParseTimeout
from textual._xterm_parser import XTermParser
from textual.app import App
from textual.binding import Binding
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode
from textual.drivers.linux_driver import LinuxDriver
from textual.geometry import Region
from textual.message import Message
from textual.screen import Screen
from textual.strip import Strip
from textual.widget import Widget

from tui.terminal.sequences import ESCAPE, Sequences

__all__ = ["AppInside", "DriverInside", "KeyParser", "ParseError", "ScreenInside", "bindings_of"]


def bindings_of(node: DOMNode) -> Iterator[tuple[str, Binding]]:
    """What a widget or a screen binds, key by key: `active_bindings` has lost who bound it."""
    yield from node._bindings


class KeyParser(XTermParser):
    """Textual's parser, given whole keys only: by itself it would take a slow or an unknown sequence for keys, and wait for ever in a paste.

    It cannot be told so: what it has begun, and until when it waits, only these members know.
    """

    def __init__(self, debug: bool = False) -> None:
        super().__init__(debug)
        self._sequences = Sequences(ANSI_SEQUENCES_KEYS, constants.ESCAPE_DELAY)

    def feed(self, data: str) -> Iterable[Message]:
        """The keys in what has come."""
        if not data:  # the end
            yield from super().feed(data)
        for key in self._sequences.fed(data, monotonic()):
            yield from self._told(key)

    def tick(self) -> Iterable[Message]:
        """The keys that are whole because nothing more has come."""
        for key in self._sequences.paused(monotonic()):
            yield from self._told(key)

    def _told(self, key: str) -> Iterator[Message]:
        yield from super().feed(key)
        if self._timeout_time is not None:  # it waits for more: Esc by itself, or a sequence that it does not know
            self._timeout_time = None
            self._awaiting = self._gen.throw(ParseTimeout())
            if key == ESCAPE:
                yield from self._tokens
            self._tokens.clear()


class DriverInside(LinuxDriver):
    """Textual's driver, opened where ours reads, writes and goes on after a stop in ways of its own."""

    def output_fileno(self) -> int:
        """The handle that the driver writes to: ours writes there too, from a thread that nothing waits for."""
        assert self._file is not None  # a session is refused without a terminal
        return self._file.fileno()

    def forget_writer(self) -> None:
        """Let go of the writer that Textual makes for itself, once it is closed: it would take what is written later for its own."""
        self._writer_thread = None

    def new_parser(self) -> KeyParser:
        """A parser of what the terminal sends, as this driver would make one."""
        return KeyParser(self._debug)

    def call_in_session(self, *call: Any) -> None:
        """Have something called in the session's own thread, unless it has ended."""
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(*call)

    def _sigcont_application(self, *_: object) -> None:
        """Tell a going on that followed a stop which the driver was told of from one that did not: only this flag knows."""
        if self._must_signal_resume:
            super()._sigcont_application()
        else:
            self.went_on()

    def went_on(self) -> None:
        """The session goes on after a stop that the driver was not told of. Called from a signal handler."""

    def _run_input_thread(self) -> None:
        """Read keys; what goes wrong there is an error of the session like any other, where Textual would print it over the screen."""
        try:
            self.run_input_thread()
        except Exception as error:
            self._app.call_later(self._app._handle_exception, error)


class _Parts(CompositorUpdate):
    """Parts of rows to be painted, each with its column and row."""

    def __init__(self, parts: Sequence[tuple[int, int, Strip]]) -> None:
        self._parts = parts

    def render_segments(self, console: Console) -> str:
        """All parts as one text for the terminal."""
        return "".join([f"\x1b[{y + 1};{x + 1}H{strip.render(console)}" for x, y, strip in self._parts])


class ScreenInside(Screen[None], inherit_bindings=False):
    """A screen that draws nothing while another one is in front: Textual would have what covers it painted anew.

    Of rows that change only what changes is drawn: Textual would draw every widget there, what is hidden too, and send rows from their start.
    """

    @property
    def in_front(self) -> bool:
        """Whether keys come here; those that were under way when it was left still arrive."""
        return self.app.screen is self

    def fail(self, error: Exception) -> None:
        """End the session on an error of a thread of its own; called from that thread. When the session has ended, nobody is told."""
        with suppress(RuntimeError):  # its loop is closed
            self.app.call_later(self.app._handle_exception, error)

    def painted(self) -> None:
        """What there is to show has just been sent to the terminal."""

    def paint_anew(self, widget: Widget, parts: Iterable[Region]) -> None:
        """Have parts of a widget painted: it is known at once, where Textual would send two messages round for every widget."""
        widget._repaint_regions.update(parts)
        self._dirty_widgets.add(widget)
        self.check_idle()

    def _compositor_refresh(self) -> None:
        if not self.in_front:
            self._compositor._dirty_regions.clear()
            self._dirty_widgets.clear()
        elif parts := self._parts_in_front():
            self._compositor._dirty_regions.clear()
            self._dirty_widgets.clear()
            self.app._display(self, _Parts(parts))  # type: ignore[arg-type]  # which takes updates too, and tells them from text
        else:
            super()._compositor_refresh()

    def _parts_in_front(self) -> list[tuple[int, int, Strip]]:
        """What is to be painted, where each part of it is the front widget's alone; else nothing."""
        dirty = self._compositor._dirty_regions
        if self.size.region in dirty:
            return []
        shown = [(widget, at, at.intersection(clip)) for widget, (at, clip) in self._compositor.visible_widgets.items()]
        parts = []
        for y, start, end in self._compositor._regions_to_spans(dirty):
            part = Region(start, y, end - start, 1)
            widget, at, seen = next((one for one in shown if one[2].overlaps(part)), (self, part, Region()))
            if not seen.contains_region(part):
                return []
            parts += [(start, y, strip) for strip in widget.render_lines(part.translate(-at.offset))]
        return parts


class StylesheetInside(Stylesheet):
    """Styles that are parsed once: Textual parses all of them anew for every screen that brings some, and for a theme that was there before."""

    def set_variables(self, variables: dict[str, str]) -> None:
        """Take over the theme's variables; what is parsed goes by them."""
        if variables != self._variables:
            super().set_variables(variables)

    def reparse(self) -> None:
        """Parse what is new; what is parsed already is known by its source."""
        self.parse()


class AppInside(App[None], inherit_bindings=False):
    """An app that writes control sequences of its own, and that ends in its own way on an error of its own."""

    def look_like(self, theme: str) -> None:
        """Take a registered theme before anything is styled."""
        self.theme = theme
        self.stylesheet = StylesheetInside(variables=self.get_css_variables())

    def send_sequence(self, sequence: str) -> None:
        """Write a control sequence to the terminal: all that is drawn goes through Textual, which knows no such text."""
        if self._driver is not None:
            self._driver.write(sequence)
            self._driver.flush()

    def _display(self, screen: Screen[Any], renderable: Any) -> None:
        """Tell when a screen is painted: no message says so."""
        super()._display(screen, renderable)
        if renderable is not None and isinstance(screen, ScreenInside):
            screen.painted()
            self.painted()

    def painted(self) -> None:
        """What a screen has to show has just been sent to the terminal."""

    def crashed(self, error: Exception | None) -> None:
        """The session ends on an error of its own, or on a consequence of one."""

    def _fatal_error(self) -> None:
        """Say what `crashed` says, where Textual would print a traceback with every variable in it."""
        self.crashed(self._exception)
        self._close_messages_no_wait()

"""The terminal driver, hardened: bad bytes, a line that is stuck or gone and a stop from outside never harm the session."""

from __future__ import annotations

import os
import selectors
from codecs import getincrementaldecoder
from contextlib import suppress
from queue import Empty, SimpleQueue
from threading import Event, Thread
from typing import Any

from textual import events
from textual.message import Message
from textual.widget import Widget

from tui.terminal.textual_inside import DriverInside, ParseError

_WAIT = 0.1
_CHUNK = 4096
_ROUNDS = 2  # a command that a key sends is one place behind in the first round, and carried out before the second ends
_TURN = 0.1  # seconds at most from one key to the next
_PATIENCE = 2.0  # seconds that a terminal which takes nothing is waited for at the end


class Output(Thread):
    """Writes to the terminal, so that the session never waits for it: it must keep work and hear signals meanwhile."""

    def __init__(self, fileno: int) -> None:
        super().__init__(daemon=True, name="output")
        self._fileno = fileno
        self._waiting: SimpleQueue[str | None] = SimpleQueue()  # may be put to from a signal handler

    def write(self, text: str) -> None:
        """Have a text written."""
        self._waiting.put(text)

    def stop(self) -> None:
        """Have the rest written, and wait for it, but not for ever."""
        self._waiting.put(None)
        self.join(_PATIENCE)

    def run(self) -> None:
        """Write until stopped; once the terminal is gone, into nothing."""
        last = gone = False
        while not last:
            text, last = self._burst()
            gone = gone or not self._written(text.encode("utf-8", "replace"))

    def _burst(self) -> tuple[str, bool]:
        """All that waits to be written, once there is something, and whether it is the last."""
        texts = [self._waiting.get()]
        with suppress(Empty):
            while texts[-1] is not None:
                texts.append(self._waiting.get_nowait())
        return "".join(filter(None, texts)), texts[-1] is None

    def _written(self, data: bytes) -> bool:
        try:
            while data:
                data = data[os.write(self._fileno, data) :]
        except OSError:
            return False
        return True


class KeyTaken(Message):
    """Follows a key, and what the key sets off, from the app to what has the focus and up again, so many `rounds`; then it is `done`."""

    def __init__(self, rounds: int, done: Event) -> None:
        super().__init__()
        self.rounds = rounds
        self.done = done

    def go_on(self, receiver: Widget) -> None:
        """Go to what has the focus, and from there up to the app; it is done when it is back and nothing waits on that way, or after all rounds."""
        waits = self.rounds == _ROUNDS or any(node.message_queue_size for node in receiver.ancestors_with_self)
        if not waits or not self.rounds or not receiver.post_message(KeyTaken(self.rounds - 1, self.done)):
            self.done.set()


class HungUp(Message):
    """There is nothing more to read: the terminal is gone."""


class SteadyDriver(DriverInside):
    """Textual's driver, except in how it reads, writes and goes on after a stop.

    Bytes that are no UTF-8 become replacement characters; the end of the
    input, which Textual would read again and again, is a hang-up.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._output: Output | None = None

    # Writing

    def start_application_mode(self) -> None:
        """Take the terminal. The writer that Textual makes for itself stays idle: it would keep the session waiting."""
        self._output = Output(self.output_fileno())
        self._output.start()
        super().start_application_mode()  # type: ignore[no-untyped-call]  # Textual has it without types

    def write(self, data: str) -> None:
        """Write without waiting."""
        if self._output is not None:
            self._output.write(data)

    def close(self) -> None:
        """Write what is left."""
        super().close()
        self.forget_writer()
        if self._output is not None:
            self._output.stop()
            self._output = None

    # Going on

    def went_on(self) -> None:
        """Take the terminal anew: whoever had it meanwhile changed it."""
        if self._output is not None:
            self.call_in_session(self._take_anew)

    def _take_anew(self) -> None:
        if self._output is not None:
            self.suspend_application_mode()
            self.resume_application_mode()

    # Reading

    def run_input_thread(self) -> None:
        """Read keys until told to stop or until there is nothing more to read."""
        parser = self.new_parser()
        decode = getincrementaldecoder("utf-8")(errors="replace").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(_WAIT):
                    data = self._read()
                    if not data:
                        self.send_message(HungUp())
                        break
                    text = decode(data)
                    # An unfinished character decodes to nothing yet, and the parser takes nothing for the end.
                    for event in parser.feed(text) if text else ():
                        self._take(event)
                for event in parser.tick():
                    self._take(event)
        try:
            for _ in parser.feed(""):
                pass
        except (EOFError, ParseError):
            pass

    def _take(self, event: Message) -> None:
        """Have a message from the terminal taken; after a key, wait until all it asks for is done, but not for ever.

        Keys that come in one burst, as they do over a slow line, would else be
        given to whatever has the focus, and act on what is selected, before
        the first of them has been carried out.
        """
        self.process_message(event)
        if isinstance(event, events.Key):
            taken = KeyTaken(_ROUNDS, Event())
            self.send_message(taken)
            taken.done.wait(_TURN)

    def _read(self) -> bytes:
        try:
            return os.read(self.fileno, _CHUNK)
        except OSError:  # the terminal is gone
            return b""

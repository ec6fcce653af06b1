"""The terminal driver, hardened: bad bytes never crash it, and a closed input ends the session."""

from __future__ import annotations

import os
import selectors
from codecs import getincrementaldecoder

from textual._parser import ParseError
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver

_WAIT = 0.1
_CHUNK = 4096


class SteadyDriver(LinuxDriver):
    """Textual's driver, except in what it makes of its input.

    Bytes that are no UTF-8 become replacement characters; the end of the
    input, which Textual would read again and again, is a hang-up.
    """

    def _run_input_thread(self) -> None:
        """Read keys; what goes wrong there is an error of the session like any other."""
        try:
            self.run_input_thread()
        except Exception as error:
            self._app.call_later(self._app._handle_exception, error)

    def run_input_thread(self) -> None:
        """Read keys until told to stop or until there is nothing more to read."""
        parser = XTermParser(self._debug)
        decode = getincrementaldecoder("utf-8")(errors="replace").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(_WAIT):
                    data = self._read()
                    if not data:
                        self._app.call_later(self._app.hang_up)
                        break
                    text = decode(data)
                    # An unfinished character decodes to nothing yet, and the parser takes nothing for the end.
                    for event in parser.feed(text) if text else ():
                        self.process_message(event)
                for event in parser.tick():
                    self.process_message(event)
        try:
            for _ in parser.feed(""):
                pass
        except (EOFError, ParseError):
            pass

    def _read(self) -> bytes:
        try:
            return os.read(self.fileno, _CHUNK)
        except OSError:  # the terminal is gone
            return b""

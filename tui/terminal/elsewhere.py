"""A search in a process of its own, on another core: keys stay quick beside it, and it ends at once when nobody wants it any longer.

The process is sent the search, and sends its steps back, all of it pickled:
designs never change, so a copy is as good, and what was sent with one step is
only named in those after it. It ends with its session however that ends: the
system itself tells it that the pipe it was asked through is closed.
"""

from __future__ import annotations

import fcntl
import gc
import os
import pickle
import select
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from io import BytesIO
from subprocess import DEVNULL, PIPE, Popen
from time import monotonic
from traceback import format_exception
from typing import Any, ParamSpec

from engine.search.proposals import Step

_Given = ParamSpec("_Given")
_CODE = "from tui.terminal.elsewhere import serve; serve()"
_LENGTH = 8  # bytes that say how long what follows is
_MOST_HELD = 32_000_000  # bytes
_LOOK = 0.05  # seconds at most until it is asked whether the steps are still wanted
_MODEST = 5  # how nice it is to the session, where both want the same core
_NEW_THINGS = 100_000  # between two looks for garbage: hardly anything that a search makes goes in a circle
_SENDING = 0.1  # the share of its time that it may take to send steps
_APART = 0.2  # seconds between two steps at least: nobody reads faster
_ENDED = "its process was ended from outside: this is what it had found"


def elsewhere(search: Callable[_Given, Iterator[Step]], *given: _Given.args, **named: _Given.kwargs) -> Iterator[Step | None]:
    """The steps of a search of the engine, made in another process; None where none has come for a while.

    It and what it is given can be pickled. Steps that come faster than they
    can be sent are left out, never the last. An error of the search is
    raised here. To close this is to end the process.
    """
    try:
        path = os.pathsep.join(filter(None, sys.path))
        process = Popen([sys.executable, "-c", _CODE], bufsize=0, stdin=PIPE, stdout=PIPE, stderr=DEVNULL, env=os.environ | {"PYTHONPATH": path})
    except OSError:  # no process is to be had: then in this one
        yield from search(*given, **named)
        return
    with process:
        assert process.stdin and process.stdout  # as asked for
        try:
            with suppress(BrokenPipeError):  # it is gone: then no answer comes either
                _Sender(process.stdin.fileno()).send((search, given, named))
            yield from _answers(process.stdout.fileno())
        finally:
            process.kill()


def _answers(pipe: int) -> Iterator[Step | None]:
    last, receiver = Step(1, 1, "", ()), _Receiver(pipe)
    while True:
        if not select.select([pipe], [], [], _LOOK)[0]:
            yield None
            continue
        try:
            answer = receiver.received()
        except EOFError:
            yield replace(last, said=_ENDED)
            return
        match answer:
            case Step():
                last = answer
                yield answer
            case Exception():
                raise answer
            case None:
                return


def serve() -> None:
    """In the process: read the search, make its steps and send them; then None, or the error it ends with."""
    out = os.dup(sys.stdout.fileno())
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what is printed must not get among the steps
    asked, sender = sys.stdin.fileno(), _Sender(out)
    try:
        search, given, named = _Receiver(asked).received()
        _end_when_closed(asked)
        os.nice(_MODEST)
        gc.freeze()  # what is loaded stays
        gc.set_threshold(_NEW_THINGS)
        for step in _as_fast_as_sent(search(*given, **named)):
            sender.send(step)
        sender.send(None)
    except Exception as error:
        error.add_note("".join(format_exception(error)))
        sender.send(error)


def _end_when_closed(pipe: int) -> None:
    """Have the system end this process when the other end of a pipe is closed, whatever it is at then."""
    fcntl.fcntl(pipe, fcntl.F_SETOWN, os.getpid())
    fcntl.fcntl(pipe, fcntl.F_SETFL, fcntl.fcntl(pipe, fcntl.F_GETFL) | os.O_ASYNC)
    if select.select([pipe], [], [], 0.0)[0]:  # it was closed meanwhile
        sys.exit()


def _as_fast_as_sent(steps: Iterator[Step]) -> Iterator[Step]:
    """The steps without those that come before the one before them has paid for itself; always the last."""
    left_out, due = None, 0.0
    for step in steps:
        began = monotonic()
        left_out = step if began < due else None
        if left_out is None:
            yield step
            ended = monotonic()
            due = ended + max((ended - began) / _SENDING, _APART)
    if left_out is not None:
        yield left_out


class _Sender:
    """Sends through a pipe what the other end has not got: a part that was sent before goes as its number, and is held so that it keeps that.

    Once so many bytes are held, or something could not be sent, both ends begin anew.
    """

    def __init__(self, pipe: int) -> None:
        self._pipe = pipe
        self._begin()

    def _begin(self) -> None:
        self._made, self._sent = BytesIO(), 0
        self._pickler = pickle.Pickler(self._made, pickle.HIGHEST_PROTOCOL)

    def send(self, what: object) -> None:
        """Send it."""
        if self._sent > _MOST_HELD:
            self._begin()
        begun = not self._sent
        self._made.seek(0)
        self._made.truncate()
        try:
            self._pickler.dump(what)
        except Exception:
            self._begin()
            raise
        data = self._made.getvalue()
        self._sent += len(data)
        data = bytes([begun]) + len(data).to_bytes(_LENGTH, "big") + data
        while data:
            data = data[os.write(self._pipe, data) :]


class _Receiver:
    """Receives what a sender sends, everything in its turn."""

    def __init__(self, pipe: int) -> None:
        self._pipe, self._come = pipe, BytesIO()
        self._unpickler = pickle.Unpickler(self._come)

    def received(self) -> Any:
        """What was sent next. Raises EOFError where nothing more comes."""
        begun, *length = _bytes(self._pipe, 1 + _LENGTH)
        if begun:
            self._come = BytesIO()
            self._unpickler = pickle.Unpickler(self._come)
        data = _bytes(self._pipe, int.from_bytes(length, "big"))
        self._come.seek(0)
        self._come.truncate()
        self._come.write(data)
        self._come.seek(0)
        return self._unpickler.load()


def _bytes(pipe: int, count: int) -> bytes:
    parts = bytearray()
    while len(parts) < count:
        if not (part := os.read(pipe, count - len(parts))):
            raise EOFError
        parts += part
    return bytes(parts)

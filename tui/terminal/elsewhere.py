"""A search in a process of its own, on another core: keys stay quick beside it, and it ends at once when nobody wants it any longer.

The process is sent the search, and sends its steps back, all of it pickled:
designs never change, so a copy is as good. It ends with its session however
that ends: the system itself tells it that the pipe it was asked through is
closed.
"""

from __future__ import annotations

import fcntl
import os
import pickle
import select
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from subprocess import DEVNULL, PIPE, Popen
from time import monotonic
from traceback import format_exception
from typing import Any, ParamSpec

from engine.search.proposals import Step

_Given = ParamSpec("_Given")
_CODE = "from tui.terminal.elsewhere import serve; serve()"
_LENGTH = 8  # bytes that say how long what follows is
_LOOK = 0.05  # seconds at most until it is asked whether the steps are still wanted
_MODEST = 5  # how nice it is to the session, where both want the same core
_SENDING = 0.1  # the share of its time that it may take to send steps
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
                _send(process.stdin.fileno(), (search, given, named))
            yield from _answers(process.stdout.fileno())
        finally:
            process.kill()


def _answers(pipe: int) -> Iterator[Step | None]:
    last = Step(1, 1, "", ())
    while True:
        if not select.select([pipe], [], [], _LOOK)[0]:
            yield None
            continue
        try:
            answer = _received(pipe)
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
    asked = sys.stdin.fileno()
    try:
        search, given, named = _received(asked)
        _end_when_closed(asked)
        os.nice(_MODEST)
        for step in _as_fast_as_sent(search(*given, **named)):
            _send(out, step)
        _send(out, None)
    except Exception as error:
        error.add_note("".join(format_exception(error)))
        _send(out, error)


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
            due = ended + (ended - began) / _SENDING
    if left_out is not None:
        yield left_out


def _send(pipe: int, what: object) -> None:
    data = pickle.dumps(what, pickle.HIGHEST_PROTOCOL)
    data = len(data).to_bytes(_LENGTH, "big") + data
    while data:
        data = data[os.write(pipe, data) :]


def _received(pipe: int) -> Any:
    """What was sent next. Raises EOFError where nothing more comes."""
    return pickle.loads(_bytes(pipe, int.from_bytes(_bytes(pipe, _LENGTH), "big")))


def _bytes(pipe: int, count: int) -> bytes:
    parts = bytearray()
    while len(parts) < count:
        if not (part := os.read(pipe, count - len(parts))):
            raise EOFError
        parts += part
    return bytes(parts)

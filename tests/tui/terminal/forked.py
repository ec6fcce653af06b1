"""Sessions forked from one Python that has imported already what the first screen needs: most of the work of a start is done once.

What is forked is a process of its own, in an environment, a folder and a
terminal of its own. It runs `tui` as `python -m tui` does. Textual reads the
environment when it is imported: a session in another one than the usual, or
of other colours, is forked from a Python that has not imported it.
"""

from __future__ import annotations

import fcntl
import gc
import importlib
import json
import os
import runpy
import signal
import socket
import subprocess
import sys
import termios
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from engine.units import spellings
from tests import ROOT
from tui.terminal import look

_LONGEST_MESSAGE = 1 << 16
_ENGINE = ("asyncio", "rich.console", "pint", "tui.command_line.command", "tui.work.document")
_SCREEN = ("tui.app", "tui.pages.workbench")


class Forked:
    """A forked session, as a `subprocess.Popen` has it; `usual`: what Textual reads from its environment is what `_main` sets."""

    def __init__(
        self, arguments: Sequence[str], terminal: int, folder: Path, env: Mapping[str, str], ignore_hangup: bool, before: str, *, usual: bool
    ) -> None:
        self.returncode: int | None = None
        self._starter = _starter(usual, env)
        start = {"arguments": arguments, "folder": str(folder), "env": dict(env), "ignore_hangup": ignore_hangup, "before": before}
        self.pid: int = _asked(self._starter, start, terminal)

    def poll(self) -> int | None:
        """The exit status, negative for a signal; None while it runs."""
        if self.returncode is None:
            self.returncode = _asked(self._starter, {"poll": self.pid})
        return self.returncode

    def wait(self, timeout: float) -> int:
        """The exit status, waited for."""
        ends = time.monotonic() + timeout
        while self.poll() is None:
            if time.monotonic() > ends:
                raise subprocess.TimeoutExpired("tui", timeout)
            time.sleep(0.002)
        return self.returncode

    def send_signal(self, number: int) -> None:
        """Send a signal, unless it is known to have ended."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)

    def kill(self) -> None:
        """End it."""
        self.send_signal(signal.SIGKILL)


# On the side of the tests

_starters: dict[tuple[int, bool], socket.socket] = {}


def _starter(usual: bool, env: Mapping[str, str]) -> socket.socket:
    """The line to a starter of this process, in the environment of its first session: shared with a fork of it, answers would go astray."""
    if (os.getpid(), usual) not in _starters:
        ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with theirs:
            subprocess.Popen(
                [sys.executable, "-m", "tests.tui.terminal.forked", str(theirs.fileno()), *(["usual"] if usual else [])],
                pass_fds=[theirs.fileno()], cwd=ROOT, env={**env, "OPENBLAS_NUM_THREADS": "1"}, start_new_session=True,
            )  # fmt: skip
        _starters[os.getpid(), usual] = ours
    return _starters[os.getpid(), usual]


def _asked(starter: socket.socket, question: dict, *files: int) -> int | None:
    """What the starter answers; files are handed over."""
    socket.send_fds(starter, [json.dumps(question).encode()], list(files))
    answer = starter.recv(_LONGEST_MESSAGE)
    if not answer:
        raise ChildProcessError("no session can be started: their starter has ended")
    return json.loads(answer)


# The starter


def _serve(line: socket.socket) -> dict | None:
    """Start sessions and tell of them until the line ends; in a session just forked, what to run."""
    while True:
        message, files, *_ = socket.recv_fds(line, _LONGEST_MESSAGE, 1)
        if not message:
            return None
        question = json.loads(message)
        if "poll" in question:
            pid, status = os.waitpid(question["poll"], os.WNOHANG)
            answer = os.waitstatus_to_exitcode(status) if pid else None
        else:
            answer = os.fork()
            if answer == 0:
                line.close()
                _settle_in(files[0], question)
                return question
            os.close(files[0])
        line.send(json.dumps(answer).encode())


def _settle_in(terminal: int, given: dict) -> None:
    """In the session: take its terminal, environment and folder."""
    os.setsid()
    for stream in (0, 1, 2):
        os.dup2(terminal, stream)
    os.close(terminal)
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    # Whoever started the tests may have ignored them, as a shell does for what runs behind it.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGHUP, signal.SIG_IGN if given["ignore_hangup"] else signal.SIG_DFL)
    os.chdir(given["folder"])
    os.environ.clear()
    os.environ.update(given["env"])
    sys.stdin = sys.__stdin__ = open(0, closefd=False)  # noqa: SIM115 - they last as long as the process
    sys.stdout = sys.__stdout__ = open(1, "w", closefd=False)  # noqa: SIM115
    sys.stderr = sys.__stderr__ = open(2, "w", errors="backslashreplace", closefd=False)  # noqa: SIM115
    sys.argv = ["tui", *given["arguments"]]
    sys.path[0] = given["folder"]


def _main() -> None:
    line, *usual = sys.argv[1:]
    os.fsync = os.fstat  # as in tests/conftest.py
    for name in _ENGINE:
        importlib.import_module(name)
    spellings._registry()
    if usual:
        look.prepare(os.environ, look.USUAL)
        for name in _SCREEN:
            importlib.import_module(name)
    elif "textual" in sys.modules:
        raise AssertionError("a session must import Textual itself")
    gc.freeze()
    if given := _serve(socket.socket(fileno=int(line))):
        exec(given["before"], {})
        runpy.run_module("tui", run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    _main()

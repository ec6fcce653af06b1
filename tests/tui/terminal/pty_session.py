"""A session in a real pseudo-terminal: bytes in, a screen out.

What a test waits for is a state: words on the screen, a file, a session that
has nothing left to do, as Linux tells in /proc. No test depends on how fast
the machine is.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Self

import pyte

from tests import ROOT
from tests.tui.terminal.forked import Forked
from tests.waiting import LIMIT, LOOK, wait_until

QUIET = 0.25  # seconds; longer than the session ever waits of its own accord: for what follows an Esc, for a pause in the keys
SESSION = ("-m", "tui")
KEYS = {
    "enter": b"\r", "esc": b"\x1b", "up": b"\x1b[A", "down": b"\x1b[B", "right": b"\x1b[C", "left": b"\x1b[D", "tab": b"\t",
    "backspace": b"\x7f", "ctrl+s": b"\x13", "ctrl+q": b"\x11", "ctrl+z": b"\x1a", "ctrl+u": b"\x15", "f1": b"\x1bOP",
}  # fmt: skip


class PtySession:
    """The session, or a `program`, in a pseudo-terminal. Use it as a context manager; it never outlives the test.

    Without a `program` the session is forked from a Python that has the engine, and runs the code `before` in front of its own;
    with one, SESSION too, Python starts anew. Who is no `new_user` has been shown the cautions.
    """

    def __init__(
        self, *arguments: str | Path, home: Path, size: tuple[int, int] = (80, 24),
        env: Mapping[str, str] | None = None, ignore_hangup: bool = False, before: str = "", program: Sequence[str] = (), new_user: bool = False,
    ) -> None:  # fmt: skip
        self.columns, self.rows = size
        self.screen = pyte.Screen(self.columns, self.rows)
        self._stream = pyte.ByteStream(self.screen)
        self.received = 0
        self.raw = bytearray()
        self.heard = self.began = time.monotonic()
        self._master, slave = pty.openpty()
        _resize(slave, *size)
        self.attributes_at_start = termios.tcgetattr(slave)
        usual = not env and "--colors" not in arguments
        env = environment(home) | dict(env or {})
        if not new_user and env["XDG_STATE_HOME"]:
            _has_read_cautions(Path(env["XDG_STATE_HOME"]) / "kerfdraft")
        self.process: subprocess.Popen | Forked = (
            _anew([*program, *map(str, arguments)], slave, home, env, ignore_hangup)
            if program
            else Forked([*map(str, arguments)], slave, home, env, ignore_hangup, before, usual=usual)
        )
        os.close(slave)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait(LIMIT)
        self.close_terminal()

    # In and out

    def send(self, *keys: str | bytes) -> None:
        """Type: names of KEYS as they are, other text as its letters, bytes raw."""
        for key in keys:
            os.write(self._master, key if isinstance(key, bytes) else KEYS.get(key, key.encode()))

    def wait_for(self, wanted: str | Callable[[str], bool]) -> str:
        """Read until the screen holds a text, or a predicate on it holds; the screen's text."""
        holds = wanted if callable(wanted) else lambda text: wanted in text

        def read() -> None:
            if not self._pump(0.05) and self.process.poll() is not None and not holds(self.text):
                raise AssertionError(f"ended with {self.process.returncode} before {wanted} was seen\n{self.text}")

        wait_until(lambda: holds(self.text), read, lambda: f"{wanted} in\n{self.text}")
        return self.text

    def wait_until(self, holds: Callable[[], bool]) -> None:
        """Read until something holds that is not on the screen."""
        wait_until(holds, lambda: self._pump(0.02), lambda: self.text)

    def painted_after(self) -> float:
        """Seconds from the start to what was last received."""
        return self.heard - self.began

    def settle(self, quiet: float = QUIET, *, reading: bool = True) -> None:
        """Read until the session has slept for `quiet` s and sent nothing meanwhile; not `reading`, leave unread what it sends.

        A session that is silent but at work, or would be were it given the processor, is not done yet.
        """
        slept = 0.0

        def look() -> None:
            nonlocal slept
            heard = self._pump(LOOK) if reading else time.sleep(LOOK)
            slept = 0.0 if heard or self._is_at_work() else slept + LOOK

        wait_until(lambda: slept >= quiet, look, lambda: f"at rest\n{self.text}")

    def listen(self, quiet: float) -> None:
        """Read until nothing has come for `quiet` s, whatever the session is at."""
        while self._pump(quiet):
            pass

    def sent_for(self, key: str, quiet: float) -> int:
        """Bytes that a key makes the session send; it must send some."""
        before = self.received
        self.send(key)
        self.wait_until(lambda: self.received > before)
        self.settle(quiet)
        return self.received - before

    def wait_exit(self) -> int:
        """Read until the session has ended; its exit status."""
        self.wait_until(lambda: self.process.poll() is not None)
        while self._pump(0.0):
            pass
        return self.process.returncode

    def answer(self, key: str, quiet: float) -> tuple[float, float, int]:
        """Seconds from a key to the first and to the last bytes of its answer, then the session sleeps for `quiet` s, and how many there are."""
        sent, before = time.monotonic(), self.received
        self.send(key)
        self.wait_until(lambda: self.received > before)
        first = self.heard - sent
        self.settle(quiet)
        return first, self.heard - sent, self.received - before

    def _states(self) -> set[str]:
        """What its threads are at: R at work or waiting for the processor, D for a disk, S asleep, T stopped."""
        states = set()
        for task in Path(f"/proc/{self.process.pid}/task").glob("*/stat"):
            with suppress(OSError):  # it has just ended
                states.add(task.read_text().rpartition(")")[2].split()[0])
        return states

    def _is_at_work(self) -> bool:
        return not self._states().isdisjoint("RD")

    def _pump(self, timeout: float) -> bool:
        data = self._read(timeout)
        self._stream.feed(data)
        return bool(data)

    def _read(self, timeout: float) -> bytes:
        if self._master < 0 or not select.select([self._master], [], [], timeout)[0]:
            return b""
        try:
            data = os.read(self._master, 65536)
        except OSError:
            return b""
        self.heard = time.monotonic()
        self.received += len(data)
        self.raw += data
        return data

    @property
    def text(self) -> str:
        """The screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def row(self, number: int) -> str:
        """One row of the screen; negative from the bottom."""
        return self.screen.display[number]

    # What happens to terminals

    def resize(self, columns: int, rows: int) -> None:
        """Make the terminal another size."""
        self.columns, self.rows = columns, rows
        self.screen.resize(rows, columns)
        _resize(self._master, columns, rows)
        self.process.send_signal(signal.SIGWINCH)

    def is_stopped(self) -> bool:
        """Whether all of it is stopped."""
        return self._states() == {"T"}

    def unread(self) -> int:
        """Bytes that the session has sent and nobody has read."""
        return int.from_bytes(fcntl.ioctl(self._master, termios.FIONREAD, bytes(4)), sys.byteorder)

    def attributes(self) -> list:
        """The terminal's attributes, as termios has them."""
        return termios.tcgetattr(self._master)

    def stop(self) -> None:
        """Stop the session unasked, and use the terminal as a shell then does: in its own mode, on a screen of its own."""
        self.process.send_signal(signal.SIGSTOP)
        self.wait_until(self.is_stopped)
        self.settle(LOOK)
        termios.tcsetattr(self._master, termios.TCSANOW, self.attributes_at_start)
        self._stream.feed(b"\x1b[?1049l\x1b[2J\x1b[H$ fg\r\n")

    def close_terminal(self) -> None:
        """Take the terminal away."""
        if self._master >= 0:
            os.close(self._master)
            self._master = -1


def environment(home: Path) -> dict[str, str]:
    """A clean environment whose files stay below `home`."""
    return {
        "PATH": os.environ["PATH"], "PYTHONPATH": os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH")))),
        "TERM": "xterm-256color", "LANG": "C.UTF-8", "HOME": str(home), "XDG_STATE_HOME": str(home / "state"),
        "XDG_DATA_HOME": str(home / "data"), "XDG_CONFIG_HOME": str(home / "config"), "XDG_CACHE_HOME": str(home / "cache"),
    }  # fmt: skip


def _has_read_cautions(folder: Path) -> None:
    with suppress(OSError):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        (folder / "cautions").touch()


def run_command(*arguments: str | Path, home: Path, **rest: object) -> subprocess.CompletedProcess:
    """`python -m tui` without a terminal."""
    command: Sequence[str] = [sys.executable, "-m", "tui", *map(str, arguments)]
    return subprocess.run(
        command, cwd=home, env=environment(home), capture_output=True, timeout=LIMIT, text=True, stdin=subprocess.DEVNULL, check=False, **rest
    )


def _anew(arguments: Sequence[str], terminal: int, folder: Path, env: Mapping[str, str], ignore_hangup: bool) -> subprocess.Popen:
    """A Python in the terminal."""
    return subprocess.Popen(
        [sys.executable, *arguments], stdin=terminal, stdout=terminal, stderr=terminal, cwd=folder, env=env,
        start_new_session=True, preexec_fn=lambda: _become_foreground(ignore_hangup),  # noqa: PLW1509 - no thread runs yet
    )  # fmt: skip


def _become_foreground(ignore_hangup: bool) -> None:
    """In the child: take the terminal as the controlling one, and hear the signals that whoever started the tests may have ignored."""
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    signal.signal(signal.SIGHUP, signal.SIG_IGN if ignore_hangup else signal.SIG_DFL)


def _resize(terminal: int, columns: int, rows: int) -> None:
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

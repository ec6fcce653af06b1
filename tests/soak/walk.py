"""Keys pressed at random: no session ends in an error, each shows in parts what a full repaint shows, and what it saves or keeps reads back.

    python -m tests.soak.walk [N] [SECONDS]

N walks (100), two at a time, over the saved designs and over random ones with
strange names, in terminals of several sizes: keys one by one and in bursts, as
held or pasted, strange letters among them. Stops early after SECONDS. Exit status 1 when one went wrong; its number makes it again.
"""

from __future__ import annotations

import shutil
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from engine.design.places import RunAt
from engine.edits import set_field
from engine.files.design_file import DesignFileError, loads, save
from engine.survey import kept
from tests import DEMO_FILES, STORE_FILES
from tests.shops.random_shops import random_design, typed
from tests.tui.terminal.demo import cells, repainted
from tests.tui.terminal.pty_session import QUIET, PtySession
from tui.commands import BY_NAME, WORKBENCH

SIZES = ((80, 24), (80, 24), (60, 18), (120, 36))
LENGTH, CHECKED_EVERY = 150, 30
_COMMANDS = [key for command in WORKBENCH if command is not BY_NAME["Quit"] for key in command.keys if len(key) == 1]
# Moves, values and ways out besides, and those often: most keys do nothing where one is already.
KEYS = [
    *_COMMANDS, *"jjjjkhlgGtT[]+- 0123456789yn", *"eeaabd", "tab", "tab", "enter", "enter", "up", "down", "down", "left", "right", "backspace",
    "esc", "esc", "esc",
]  # fmt: skip
# Letters that are typed and pasted into whatever asks, some of which no name may hold, and names that some things have from the start.
STRANGE = ["é", "ß", "漢", "~", "/", '"', "\\", "\u00ad", "\u200b", "\u200d", "\ufeff", "\u202e", "\u0301", "\x1b[200~a\u202eb\tc\x1b[201~"]
NAMES = ("Ölmühle", "漢字", 'a "b"', "\\", "e\u0301", "~", "'", "#", "x" * 80)
FILES = ("shop.toml", "~shop.toml", "two words.toml", "Ölmühle.toml", "shop.toml ", "no ending", "#.toml", "x" * 250 + ".toml")
_AT_WORK = 2


def put_design(rng: Random, folder: Path) -> Path:
    """A design in a file of the folder: a saved one, or a random one with strange names."""
    for store in STORE_FILES:
        shutil.copy(store, folder)
    if rng.random() < 0.5:
        return Path(shutil.copy(rng.choice(DEMO_FILES), folder))
    design = typed(random_design(rng, 12, plausible=True))
    for place in rng.sample([RunAt(i) for i in range(len(design.runs))], min(3, len(design.runs))):
        design = set_field(design, place, "id", f"{rng.choice(NAMES)[:70]} {place.run}")
    path = folder / rng.choice(FILES)
    save(replace(design, name=rng.choice(NAMES)), path)
    return path


def unread(folder: Path) -> str:
    """Which of the designs and journals in a folder cannot be read, "" for none."""
    return "; ".join(f"{path.name}: {why}" for path in sorted(folder.rglob("*")) if (why := _why_unread(path, folder)))


def _why_unread(path: Path, folder: Path) -> str:
    text = path.read_text() if path.suffix in (".toml", ".unsaved") or path.name in FILES else ""
    if path.name.startswith("interview-"):
        return "" if kept.loads(text) else "an interview that cannot be read"
    try:
        loads(text, folder) if "[collector]" in text or path.name in FILES else None
    except DesignFileError as error:
        return str(error)
    return ""


def one_walk(number: int, length: int = LENGTH) -> tuple[int, str]:
    """Its number and what went wrong, "" for nothing."""
    rng = Random(number)
    with TemporaryDirectory(prefix="walk") as folder:
        path = put_design(rng, Path(folder))
        with PtySession(path.name, home=Path(folder), size=rng.choice(SIZES)) as session:
            session.wait_for("q quit")
            told = walk(session, rng, length)
            reports = [report.read_text() for report in Path(folder).glob("state/kerfdraft/error-*.txt")]
            session.process.kill()
            session.wait_exit()
            return number, "\n".join(filter(None, (told, unread(Path(folder)), *(report[-1000:] for report in reports))))


def walk(session: PtySession, rng: Random, length: int) -> str:
    """Press `length` keys; what went wrong, with the last keys, "" for nothing."""
    pressed: list[str] = []
    while len(pressed) < length:
        keys = rng.choices(STRANGE if rng.random() < 0.1 else KEYS, k=rng.choice((1, 1, 1, 2, 5)))
        before, pressed = len(pressed), [*pressed, *keys]
        session.send(*keys)
        session.listen(0.03)
        told = ""
        if session.process.poll() is not None:
            if session.process.returncode == 0:  # through the list of commands
                return ""
            told = f"ended with {session.process.returncode}:\n{session.text}"
        elif before // CHECKED_EVERY != len(pressed) // CHECKED_EVERY:
            session.listen(QUIET)
            if "working" not in session.text:  # what is computed beside the keys goes on changing the page
                session.settle()
                in_parts, text = cells(session), session.text
                if repainted(session) != in_parts:
                    told = f"shown:\n{text}\npainted anew:\n{session.text}"
        if told:
            return f"after {len(pressed)} keys, {' '.join(pressed[-20:])}: {told}"
    return ""


def main(walks: int = 100, seconds: float = float("inf")) -> int:
    """Go so many walks and print what came of them; the exit status."""
    began, outcomes = time.monotonic(), []
    with ProcessPoolExecutor(_AT_WORK) as workers:
        for first in range(0, walks, 5 * _AT_WORK):
            outcomes += workers.map(one_walk, range(first, min(first + 5 * _AT_WORK, walks)))
            if time.monotonic() - began > seconds:
                break
    wrong = [(number, told) for number, told in outcomes if told]
    print(f"walks  {len(outcomes)} of {LENGTH} keys in {time.monotonic() - began:.0f} s")
    print(f"wrong  {len(wrong)}")
    for number, told in wrong[:10]:
        print(f"  {number} {told}")
    return 1 if wrong else 0


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(*map(int, given[:1]), *map(float, given[1:2])))

"""The list of designs: those in this folder and the saved ones, or a new one."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from pathlib import Path

from textual import on

from engine.files.design_file import MOST_BYTES
from engine.units.printable import printable
from engine.values import dataclass
from tui import commands
from tui.commands.base import Command
from tui.commands.files import New, open_path
from tui.commands.look import StepOut
from tui.pages.choosing.choose import ChooseScreen
from tui.work.asking import Choice, Prompt

NEW, ELSEWHERE = None, Path()
SAVED = "saved_designs"
_FIRST_TABLE = re.compile(r"^[ \t]*\[", re.MULTILINE)
_TOP_LINE = re.compile(r"^[ \t]*(format|name)[ \t]*=[ \t]*(.*)", re.MULTILINE)
_COLLECTOR = re.compile(r"^[ \t]*(?:\[[ \t]*)?collector\b", re.MULTILINE)
_STRING = re.compile(r'"(?:[^"\\]|\\.)*+"' r"|'[^']*+'")
_LONGEST_LINE = 1000


@dataclass(frozen=True, slots=True)
class Found:
    """A design file and the name of the design in it."""

    path: Path
    name: str


class FilesScreen(ChooseScreen):
    """Choose a design to open. `first` says that no design is open behind it."""

    typing = False
    page_commands = (New, StepOut, *commands.ALWAYS)
    help_text = "Choose a design of this folder or of saved_designs, start a new one, or type the path of a file elsewhere."

    def __init__(self, *, first: bool = False) -> None:
        super().__init__("designs", file_choices(designs_in(Path.cwd())), self._open)
        self._first = first

    def _open(self, path: Path | None) -> None:
        if path is ELSEWHERE:
            self.session.ask(Prompt("open", "", lambda text: self._open(_typed(text)), _why_not_opened))
        else:
            self.session.attempt(lambda: open_path(self.session, path))

    def takes(self, command: type[Command]) -> bool:
        """Behind the first list there is nothing to go back to."""
        return super().takes(command) and not (self._first and command is StepOut)

    def leave_with(self, value: Path | None) -> None:
        """Open what was chosen; behind the first list there is nothing to go back to."""
        if self._first:
            self._open(value)
        else:
            super().leave_with(value)

    @on(New)
    def start_new(self, command: New) -> None:
        """Start a new design."""
        command.stop()
        self.leave_with(NEW)

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the design that is open."""
        command.stop()
        command.prevent_default()
        self.dismiss()


def file_choices(found: Iterable[Found]) -> list[Choice]:
    """A row for every design, and one for a new one."""
    here = Path.cwd()
    rows = [Choice(design.name, design.path, str(_shown(design.path, here))) for design in found]
    new = Choice("new design", NEW, "questions about your shop and a first draft, or a small example")
    return [*rows, new, Choice("a file elsewhere", ELSEWHERE, "type its path")]


def _typed(text: str) -> Path:
    return Path(text.strip()).expanduser()


def _why_not_opened(text: str) -> str | None:
    try:
        return None if _typed(text).is_file() else f"there is no file {text.strip() or 'of no name'}"
    except (OSError, ValueError, RuntimeError):
        return "that is no path of a file"


def designs_in(folder: Path) -> list[Found]:
    """The designs in a folder and in its saved_designs, each by the name it gives itself."""
    here, saved = (sorted(place.glob("*.toml")) if place.is_dir() else [] for place in (folder, folder / SAVED))
    named = ((path, _name_in(path)) for path in (*here, *saved))
    return [Found(path, name) for path, name in named if name is not None]


def _name_in(path: Path) -> str | None:
    """The name of the design in a TOML file; None when it holds none.

    Looks at the lines alone: no file, however made, may hold up the list.
    """
    text = _text_in(path)
    top = dict(_TOP_LINE.findall(_FIRST_TABLE.split(text, 1)[0]))
    if "format" not in top or not _COLLECTOR.search(text):
        return None
    written = _STRING.match(top.get("name", "")[:_LONGEST_LINE])
    try:
        name = tomllib.loads(f"name = {written[0]}")["name"] if written else ""
    except ValueError:
        name = ""
    return printable(name) or path.stem


def _text_in(path: Path) -> str:
    """The text of a plain file of at most MOST_BYTES, else ""."""
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            return ""
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _shown(path: Path, here: Path) -> Path:
    return path.relative_to(here) if path.is_relative_to(here) else path

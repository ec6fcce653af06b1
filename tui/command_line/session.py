"""`kerfdraft` and `kerfdraft FILE`: the session."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path

from tui.command_line.parser import Command, Parser
from tui.draw.glyphs import GLYPHS, LINE
from tui.terminal.look import COLORS, Look


class _SessionParser(Parser):
    """A parser whose help lists the subcommands; `commands` loads them."""

    def __init__(self, commands: Callable[[], Sequence[Command]]) -> None:
        super().__init__(
            prog="kerfdraft",
            description="Design, check and look after the dust ducts of a small wood workshop.",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        self._commands = commands

    def format_help(self) -> str:
        """The help with what each subcommand is for."""
        called = {f"{command.name} {command.takes}".rstrip(): command.brief for command in self._commands()}
        width = max(map(len, called))
        lines = [f"  kerfdraft {name:<{width}}  {brief}" for name, brief in called.items()]
        self.epilog = "\n".join(["without opening the session, each with --help of its own:", *lines])
        return super().format_help()


def session_parser(commands: Callable[[], Sequence[Command]]) -> Parser:
    """The parser of the session's options; its help lists the subcommands."""
    parser = _SessionParser(commands)
    parser.add_argument("file", nargs="?", type=Path, metavar="FILE", help="design to open; without one, a list of designs")
    parser.add_argument("--glyphs", choices=GLYPHS, default=LINE.name, help=f"characters to draw with (default: {LINE.name})")
    parser.add_argument("--colors", choices=COLORS, default="auto", help="colours to use (default: what the terminal has)")
    parser.add_argument("--mouse", choices=("on", "off"), help="listen to the mouse (default: on, but off over SSH)")
    return parser


def open_session(options: argparse.Namespace) -> int:
    """Open it; the exit status."""
    from tui.run import run_session

    mouse = None if options.mouse is None else options.mouse == "on"
    return run_session(options.file, Look(GLYPHS[options.glyphs], options.colors, mouse))

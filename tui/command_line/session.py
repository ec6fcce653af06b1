"""`kerfdraft` and `kerfdraft FILE`: the session."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from tui.command_line.parser import Command, Parser
from tui.draw.glyphs import GLYPHS, LINE
from tui.terminal.look import COLORS, Look


def session_parser(commands: Sequence[Command]) -> Parser:
    """The parser of the session's options; its help lists the subcommands."""
    called = [f"{command.name} {command.takes}".rstrip() for command in commands]
    width = max(map(len, called))
    lines = [f"  kerfdraft {name:<{width}}  {command.brief}" for name, command in zip(called, commands, strict=True)]
    parser = Parser(
        prog="kerfdraft",
        description="Design, check and look after the dust ducts of a small wood workshop.",
        epilog="\n".join(["without opening the session, each with --help of its own:", *lines]),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
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

"""The `kerfdraft` command. Nothing here imports Textual before the session is wanted."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from tui.command_line import check, placement, remedies, size
from tui.command_line.files import OK, UNREADABLE
from tui.draw.glyphs import GLYPHS, LINE
from tui.terminal.given_back import mute
from tui.terminal.look import COLORS, Look

_COMMANDS = {name: module.run for module in (check, size, remedies, placement) for name in module.NAMES}
_WITHOUT_SESSION = """\
without opening the session, each with --help of its own:
  kerfdraft check FILE      solve every gate set and say what is wrong
  kerfdraft size FILE       sizes from what the store has; what to take instead
  kerfdraft remedies FILE   what to change first
  kerfdraft throttle FILE   which gates to leave part open
  kerfdraft draft FILE      first layouts from machines and collector
  kerfdraft placement FILE  where the collector would stand best"""


class _Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one line."""

    def error(self, message: str) -> None:  # type: ignore[override]
        """Leave with status 2."""
        self.exit(UNREADABLE, f"kerfdraft: {message} (see {self.prog} --help)\n")


def run() -> None:
    """Entry point of the installed command."""
    sys.exit(main())


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out a command line; the exit status: 0 fine, 1 faults found, 2 unreadable file or wrong use."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    try:
        if arguments and (command := _COMMANDS.get(arguments[0])):
            status = command(arguments[0], arguments[1:], _Parser)
        else:
            status = _session(_session_options(arguments))
        sys.stdout.flush()
        return status
    except SystemExit as leaving:  # argparse: --help and usage errors
        return leaving.code if isinstance(leaving.code, int) else UNREADABLE
    except BrokenPipeError:
        mute()
        return OK
    except KeyboardInterrupt:
        return 130


def _session_options(arguments: Sequence[str]) -> argparse.Namespace:
    """The options of a session; two words beside each other are most likely a command that there is not."""
    parser = _session_parser()
    first, second = (*arguments, "", "")[:2]
    if second and not first.startswith("-") and not second.startswith("-") and "." not in first and not Path(first).exists():
        parser.error(f"no command {first!r}; wanted one of {', '.join(_COMMANDS)}, or one design to open")
    return parser.parse_args(arguments)


def _session_parser() -> _Parser:
    parser = _Parser(
        prog="kerfdraft",
        description="Design, check and look after the dust ducts of a small wood workshop.",
        epilog=_WITHOUT_SESSION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", nargs="?", type=Path, metavar="FILE", help="design to open; without one, a list of designs")
    parser.add_argument("--glyphs", choices=tuple(GLYPHS), default=LINE.name, help="characters to draw with (default: line)")
    parser.add_argument("--colors", choices=COLORS, default="auto", help="colours to use (default: what the terminal has)")
    parser.add_argument("--mouse", choices=("on", "off"), help="listen to the mouse (default: on, but off over SSH)")
    return parser


def _session(options: argparse.Namespace) -> int:
    from tui.run import run_session

    mouse = None if options.mouse is None else options.mouse == "on"
    return run_session(options.file, Look(GLYPHS[options.glyphs], options.colors, mouse))

"""The `kerfdraft` command. Nothing here imports Textual before the session is wanted."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tui import placement_command, remedy_command, size_command
from tui.terminal import COLORS, GLYPHS, Look, mute

if TYPE_CHECKING:
    from engine.design import Design

OK, FAULTS, UNREADABLE = 0, 1, 2
_SUBCOMMANDS = ("check",)
_COMMANDS = {name: module.run for module in (size_command, remedy_command, placement_command) for name in module.NAMES}
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
        if arguments and arguments[0] in _SUBCOMMANDS:
            status = _check(_check_parser().parse_args(arguments[1:]))
        elif arguments and (command := _COMMANDS.get(arguments[0])):
            status = command(arguments[0], arguments[1:], _Parser)
        else:
            status = _session(_session_parser().parse_args(arguments))
        sys.stdout.flush()
        return status
    except SystemExit as leaving:  # argparse: --help and usage errors
        return leaving.code if isinstance(leaving.code, int) else UNREADABLE
    except BrokenPipeError:
        mute()
        return OK
    except KeyboardInterrupt:
        return 130


def _session_parser() -> _Parser:
    parser = _Parser(
        prog="kerfdraft",
        description="Design, check and look after the dust ducts of a small wood workshop.",
        epilog=_WITHOUT_SESSION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", nargs="?", type=Path, metavar="FILE", help="design to open; without one, a list of designs")
    parser.add_argument("--glyphs", choices=GLYPHS, default="line", help="characters to draw with (default: line)")
    parser.add_argument("--colors", choices=COLORS, default="auto", help="colours to use (default: what the terminal has)")
    parser.add_argument("--mouse", choices=("on", "off"), help="listen to the mouse (default: on, but off over SSH)")
    return parser


def _check_parser() -> _Parser:
    parser = _Parser(
        prog="kerfdraft check",
        description="Solve every gate set of a design and report what is wrong with it.",
        epilog="exit status: 0 no faults, 1 faults found (with --all-sets: a machine that passes in no set), 2 the file cannot be read",
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="design to check")
    parser.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")
    parser.add_argument("--all-sets", action="store_true", help="tell instead which machines may work together")
    return parser


def _session(options: argparse.Namespace) -> int:
    from tui.terminal import run_session

    mouse = None if options.mouse is None else options.mouse == "on"
    return run_session(options.file, Look(options.glyphs, options.colors, mouse))


def _check(options: argparse.Namespace) -> int:
    from engine import report
    from engine.assess import assess
    from engine.design_file import DesignFileError, load
    from engine.mistake import MOST_MISTAKES

    try:
        design = load(options.file)
    except DesignFileError as error:
        for mistake in error.mistakes:
            _complain(f"{options.file}: {mistake}")
        if 1 < len(error.mistakes) <= MOST_MISTAKES:  # beyond, the last of them says so
            _complain(f"{options.file}: these are all {len(error.mistakes)} mistakes")
        return UNREADABLE
    if options.all_sets:
        return _check_all_sets(design, as_json=options.json)
    assessment = assess(design)
    print(report.as_json(assessment) if options.json else report.as_text(assessment))
    return FAULTS if assessment.count("fault") else OK


def _check_all_sets(design: Design, *, as_json: bool) -> int:
    from engine import together_report
    from engine.checks.look import look_at
    from engine.network import compile_tree
    from engine.together import together

    found = together(look_at(design, compile_tree(design)))
    print(together_report.as_json(found) if as_json else together_report.as_text(found))
    return OK if found.serves_all else FAULTS


def _complain(text: str) -> None:
    print("kerfdraft:", text, file=sys.stderr)

"""The `kerfdraft` command. Nothing here imports Textual, NumPy or SciPy before they are wanted."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

from tui.command_line.files import OK, UNREADABLE, loaded
from tui.command_line.parser import Command, parser_of
from tui.command_line.session import open_session, session_parser
from tui.command_line.taking import refuse_alone, refuse_unwritable
from tui.keep import unit_worths
from tui.terminal.streams import NO_OUTPUT, NoOutputError, complain, mute, settle_streams

# Each subcommand and its module, which is loaded when it is asked for.
_MODULES = {
    "check": "check", "size": "searches.size", "remedies": "searches.remedies", "throttle": "searches.throttle", "draft": "searches.draft",
    "placement": "searches.placement", "collector": "searches.collector", "parts": "sheets.parts", "cuts": "sheets.cuts",
    "setting-out": "sheets.setting_out", "report": "sheets.report", "survey": "sheets.survey", "convert": "field.convert",
    "field": "field.field", "causes": "field.causes", "upkeep": "field.upkeep",
}  # fmt: skip
_NEW_THINGS = 20_000  # between two looks for garbage: an edit makes about as many, and hardly any of them in a circle


def run() -> None:
    """Entry point of the installed command."""
    gc.set_threshold(_NEW_THINGS)
    settle_streams()
    sys.exit(main())


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out a command line; the exit status: 0 fine, 1 faults found, 2 unreadable file or wrong use, 74 no output."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    unit_worths.recall()
    try:
        return _command(arguments) if arguments and arguments[0] in _MODULES else _session(arguments)
    except SystemExit as leaving:  # argparse: --help and usage errors
        return leaving.code if isinstance(leaving.code, int) else UNREADABLE
    except BrokenPipeError:
        mute(sys.stdout, sys.stderr)
        return OK
    except NoOutputError as reason:
        complain(f"the results cannot be printed: {reason}")
        return NO_OUTPUT
    except KeyboardInterrupt:
        return 130
    finally:
        unit_worths.keep()


def _command_named(name: str) -> Command:
    found: Command = import_module(f"tui.command_line.{_MODULES[name]}").COMMAND
    return found


def _command(arguments: Sequence[str]) -> int:
    options = parser_of(_command_named(arguments[0])).parse_args(arguments)
    refuse_alone(options)
    refuse_unwritable(options)
    if options.file is None and options.command.without_design:
        return int(options.command.without_design(options))
    design = loaded(options.file)
    return UNREADABLE if design is None else options.command.carry_out(options, design)


def _session(arguments: Sequence[str]) -> int:
    """Open a session; two words beside each other are most likely a command that there is not."""
    parser = session_parser(lambda: [_command_named(name) for name in _MODULES])
    first, second = (*arguments, "", "")[:2]
    if second and not first.startswith("-") and not second.startswith("-") and "." not in first and not Path(first).exists():
        parser.error(f"no command {first!r}; wanted one of {', '.join(_MODULES)}, or one design to open")
    return open_session(parser.parse_args(arguments))

"""The `kerfdraft` command. Nothing here imports Textual, NumPy or SciPy before they are wanted."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from pathlib import Path

from tui.command_line import check
from tui.command_line.field import causes, convert, field, upkeep
from tui.command_line.files import OK, UNREADABLE, loaded
from tui.command_line.parser import parser_of
from tui.command_line.searches import collector, draft, placement, remedies, size, throttle
from tui.command_line.session import open_session, session_parser
from tui.command_line.sheets import cuts, parts, report, setting_out, survey
from tui.command_line.taking import refuse_alone, refuse_unwritable
from tui.keep import unit_worths
from tui.terminal.streams import NO_OUTPUT, NoOutputError, complain, mute, settle_streams

_COMMANDS = tuple(
    module.COMMAND for module in (
        check, size, remedies, throttle, draft, placement, collector, parts, cuts, setting_out, report, survey, convert, field, causes, upkeep,
    )
)  # fmt: skip
_NEW_THINGS = 20_000  # between two looks for garbage: an edit makes about as many, and hardly any of them in a circle
_NAMES = tuple(command.name for command in _COMMANDS)


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
        return _command(arguments) if arguments and arguments[0] in _NAMES else _session(arguments)
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


def _command(arguments: Sequence[str]) -> int:
    options = parser_of(_COMMANDS).parse_args(arguments)
    refuse_alone(options)
    refuse_unwritable(options)
    if options.file is None and options.command.without_design:
        return int(options.command.without_design(options))
    design = loaded(options.file)
    return UNREADABLE if design is None else options.command.carry_out(options, design)


def _session(arguments: Sequence[str]) -> int:
    """Open a session; two words beside each other are most likely a command that there is not."""
    parser = session_parser(_COMMANDS)
    first, second = (*arguments, "", "")[:2]
    if second and not first.startswith("-") and not second.startswith("-") and "." not in first and not Path(first).exists():
        parser.error(f"no command {first!r}; wanted one of {', '.join(_NAMES)}, or one design to open")
    return open_session(parser.parse_args(arguments))

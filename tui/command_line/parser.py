"""How the command line is read: its subcommands, the options they share, and what is wrong with them in one line."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from engine.values import dataclass
from tui.command_line.files import UNREADABLE
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design


class Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one line, and takes no option twice."""

    def __init__(self, *args: Any, **rest: Any) -> None:
        super().__init__(*args, **rest)
        self.register("action", None, _Once)
        self.register("action", "store_true", _Flag)
        self.register("type", None, _said)
        self.register("type", Path, lambda text: Path(_said(text)))

    def error(self, message: str) -> NoReturn:
        """Leave with status 2."""
        complain(f"{message} (see {self.prog} --help)")
        self.exit(UNREADABLE)

    def print_help(self, file: Any = None) -> None:
        """Print it as any result."""
        if file is None:
            tell(self.format_help().rstrip("\n"))
        else:
            super().print_help(file)

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> tuple[argparse.Namespace, list[str]]:  # type: ignore[override]
        """As a subcommand too it refuses what it does not know itself, so that the message names its own help."""
        found, unknown = super().parse_known_args(args, namespace)
        if unknown:
            self.error(f"unrecognized arguments: {' '.join(unknown)}")
        return found, unknown


def _said(text: str) -> str:
    if not text:
        raise argparse.ArgumentTypeError("empty")
    return text


class _Once(argparse.Action):
    """Stores the value of an option or an argument."""

    def __call__(self, parser: argparse.ArgumentParser, namespace: argparse.Namespace, values: Any, option_string: str | None = None) -> None:
        values = values if self.nargs != 0 else True
        if option_string:
            said = vars(namespace).setdefault("said", {})
            if self.dest in said:
                apart = f", as {said[self.dest]} and as {values}" if said[self.dest] != values else ""
                parser.error(f"{option_string} is given twice{apart}")
            said[self.dest] = values
        setattr(namespace, self.dest, values)


class _Flag(_Once):
    """An option without a value."""

    def __init__(self, option_strings: Sequence[str], dest: str, **rest: Any) -> None:
        super().__init__(option_strings, dest, nargs=0, default=False, **rest)


@dataclass(frozen=True, slots=True)
class Command:
    """A subcommand: what it is called and told as, the parsers whose options it shares, what adds its own, and what carries it out.

    `argument` is what stands behind its name, `takes` that in a word; `without_design` carries it out
    where that leaves `file` None.
    """

    name: str
    brief: str
    description: str
    statuses: str
    shares: tuple[Parser, ...]
    carry_out: Callable[[argparse.Namespace, Design], int]
    options: Callable[[Parser], None] | None = None
    argument: Parser | None = None
    without_design: Callable[[argparse.Namespace], int] | None = None
    takes: str = "FILE"

    def add_to(self, adding: argparse._SubParsersAction[Parser]) -> None:
        """Add its parser."""
        parser = adding.add_parser(
            self.name, description=self.description, epilog=f"exit status: {self.statuses}", parents=[self.argument or _FILE, *self.shares]
        )  # fmt: skip
        if self.options:
            self.options(parser)
        parser.set_defaults(command=self, parser=parser)


def parser_of(command: Command) -> Parser:
    """The parser of a subcommand behind the program's name."""
    parser = Parser(prog="kerfdraft")
    adding = parser.add_subparsers(metavar="COMMAND", required=True)
    adding.type = str  # whatever stands behind the command, the command's own parser judges
    command.add_to(adding)
    return parser


_FILE = Parser(add_help=False)
_FILE.add_argument("file", type=Path, metavar="FILE", help="design to look at; it stays as it is")

JSON = Parser(add_help=False)
JSON.add_argument("--json", action="store_true", help="print the results in SI base units as JSON")


def writing(what: str, noun: str = "") -> Parser:
    """The option that writes the design with `what`, and before it the one that takes one of several, each called a `noun`."""
    parser = Parser(add_help=False)
    if noun:
        parser.add_argument("--take", type=int, metavar="N", help=f"number of the {noun} to write (default: 1)")
        parser.set_defaults(noun=noun)
    parser.add_argument("--write", type=Path, metavar="OUT", help=f"write the design with {what} to OUT, a new file")
    return parser

"""`kerfdraft convert`: a quick card filled in and answered, without a design and without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import OK
from tui.command_line.parser import JSON, Command, Parser
from tui.terminal.streams import tell

if TYPE_CHECKING:
    from engine.design import Design

_ASKED = Parser(add_help=False)
_ASKED.add_argument("card", nargs="?", metavar="CARD", help="which card; without one all are listed")
_ASKED.add_argument("blanks", nargs="*", metavar="NAME=VALUE", help="what is known, each with its unit")
_ASKED.set_defaults(file=None)


def _answer(options: argparse.Namespace) -> int:
    from engine.design import Site
    from engine.field.cards import CardError, answer, card_named
    from engine.field.deck import DECK
    from engine.report.cards import as_json, as_text, listing

    if options.card is None:
        if options.json:
            options.parser.error("--json wants a card")
        tell(listing(DECK))
        return OK
    try:
        card = card_named(DECK, options.card)
        found = answer(card, _texts(options), Site())
    except CardError as reason:
        options.parser.error(str(reason))
    tell((as_json if options.json else as_text)(card, found))
    return OK


def _texts(options: argparse.Namespace) -> dict[str, str]:
    """What is written into each blank."""
    texts: dict[str, str] = {}
    for written in options.blanks:
        name, equals, text = written.partition("=")
        if not equals:
            options.parser.error(f"{written!r} has no =; wanted NAME=VALUE")
        if name in texts:
            options.parser.error(f"{name} is given twice")
        texts[name] = text
    return texts


def _no_design(options: argparse.Namespace, _design: Design) -> int:
    return _answer(options)


COMMAND = Command(
    name="convert",
    brief="readings, speeds, flows and bores into each other",
    description="Fill in a quick card and print what comes of it, in metric and imperial units. Without a card, list the cards.",
    statuses="0 done, 2 wrong use",
    shares=(JSON,),
    carry_out=_no_design,
    argument=_ASKED,
    without_design=_answer,
    takes="CARD",
)

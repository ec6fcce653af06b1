"""`kerfdraft draft`: first layouts from where machines and collector stand, found and written without a session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tui.command_line.files import OK, UNREADABLE
from tui.command_line.parser import Command, writing
from tui.command_line.taking import chosen, wrote
from tui.terminal.streams import complain, tell

if TYPE_CHECKING:
    from engine.design import Design


def _carry_out(options: argparse.Namespace, design: Design) -> int:
    from engine.report.drafts import as_text
    from engine.search.layouts.proposing import drafts

    for step in drafts(design):
        found = step.proposals
    if not found:
        complain(f"{options.file}: {step.said}")
        return UNREADABLE
    taken = chosen(options, found)
    tell(as_text(design, found))
    return UNREADABLE if taken and not wrote(options, taken.design, taken.title) else OK


COMMAND = Command(
    name="draft",
    brief="first layouts from machines and collector",
    description="Draft ducts from where machines and collector stand, in several ways, best first. Ducts that the design has are left out of it.",
    statuses="0 done, 2 the file cannot be read or written, or there is nothing to lay out",
    shares=(writing("that layout", "proposal"),),
    carry_out=_carry_out,
)

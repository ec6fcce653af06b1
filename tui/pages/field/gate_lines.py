"""The gates to set before the readings of a gate set, as lines: what changes since the set before, then all that stand open and shut."""

from __future__ import annotations

from engine.checks.cautions import caution
from engine.field.built import to_hang
from engine.field.sheet import Gates, gates
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, line, wrapped_to
from tui.pages.field.walk import Walk

_MOST_ROWS = 4  # of what moves, and of what is open


def gate_lines(walk: Walk, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """Which gates to open and to shut, in so many columns and rows; for the leak test its caution beside."""
    found = gates(walk.design, walk.gate_set)
    if walk.closed:
        told = [(f"SHUT all {len(found.shut)} gates.", "value"), (_bare(found), "value"), (caution("leak-test").text(walk.design), "caution")]
    elif not (found.open or found.part or found.shut):
        told = [("No gate has a way to the collector yet." if to_hang(walk.design) else "No gate to set.", "value")]
    else:
        told = [(_changes(walk, found), "value"), (_open(found), "value"), (f"SHUT: {', '.join(found.shut) or 'none'}", "text")]
    rows = [line(" ", ("Set the gates, then press Enter.", "label"))]
    for text, role in told:
        most = height - len(rows) if (text, role) == told[-1] else _MOST_ROWS
        rows += [line(" ", *row) for row in wrapped_to(text, width - 2, most, glyphs, role)] if text else []
    return rows[:height]


def _bare(found: Gates) -> str:
    return f"CAP what has no gate: {', '.join(found.bare)}." if found.bare else ""


def _open(found: Gates) -> str:
    part = [f"{name} {share:.0%} open" for name, share in found.part]
    return f"OPEN: {', '.join([*found.open, *part]) or 'none'}"


def _changes(walk: Walk, found: Gates) -> str:
    """What to move since the gate set before; nothing where none was set."""
    if walk.before is None or walk.before == walk.gate_set:
        return ""
    was = gates(walk.design, walk.before)
    to_open = [name for name in found.open if name not in was.open]
    to_shut = [name for name in found.shut if name not in was.shut]
    moved = [f"open {', '.join(to_open)}" if to_open else "", f"shut {', '.join(to_shut)}" if to_shut else ""]
    return f"now {'; '.join(filter(None, moved)) or 'no gate moves'}"

"""Three invented shops as somebody who has measured them puts them in: what is typed, line after line, each with Enter.

An empty line is Enter alone: there is no more of the kind. Page Down in place
of Enter takes the rest of a page as it is offered. They begin at the first
question of a new interview and end before the last one, the first draft.
"""

from __future__ import annotations

PAGE_DOWN = "|"

# Seven machines in a rectangle, metric.
KITE_LOFT = (
    "", "Kite loft", "9 x 6", "2.7", "e|",
    "s 1 0.9", "e 1 2.4 2.1 o", "",
    "4.5,3", "",
    "n 3 1.2", "",
    "8,0.6|", "",
    "planer 2,4.5", "shaper 4,5", "saw 4.5,2", "cross 1,2", "band 7,4.8 100 820", "disc 2.5,0.7 63 150", "lathe 6,0.7 100 600", "", *"|||||||",
    "1,3", "",
    "",
    "0 2400;1000 2150;2000 1200;2600 0", "|", "160|", "|", "|",
)  # fmt: skip

# An imperial shop of six machines, one of them twice, with flows as ranges and a stair to keep clear.
BARGE_YARD = (
    "<down>", "Barge yard", "30 x 24", "9ft 6in", "n|",
    "s 12 10 8 over", "west 4 3", "",
    "15,12 6in", "",
    "stairs 27,20 4x7", "",
    "28, 3|", "",
    "planer 8,18", "jointer 14,20 350-450 cfm", "table saw 12,8 moves", "band 22,18", "= 22,12", "mitre 6, 1ft 6in 250-350 cfm", "", *"||||||",
    "1,3", "4+5", "",
    "",
    "0 10;400 9;800 5;1000 0", "|", "6|", "|", "|",
)  # fmt: skip

# A room of six corners with ducts that hang already, metric.
OLD_FORGE = (
    "", "Old forge", "0,0; 8,0; 8,4; 4,4; 4,7; 0,7|", "2.6|",
    "south 3 1", "",
    "|",
    "|",
    "0.5,3,1|", "",
    "planer 2.5,5.5", "saw 6,1.5", "disc 6.5,3.3 100 600", "", *"|||",
    "",
    "",
    "0 2300;1500 1700;2200 0", "|", "150|", "|",
    "main 150, 0.5, elbow up, 0.9, elbow east, 1.2", "wye 125 to planer", "2.5", "wye 125 south to saw: gate, 0.6, elbow down, 1.2, hose 0.6", "1.5",
    "pipe 100, gate, elbow down, 1, hose 0.6, to disc", "",
)  # fmt: skip


def keys(lines: tuple[str, ...]) -> int:
    """How many keys these lines are, Enter or Page Down behind each counted."""
    return sum((1 if line.startswith("<") else len(line.removesuffix(PAGE_DOWN))) + 1 for line in lines)

"""A small design file and ways to break it, a mark telling where the mistake then stands. Invented data."""

from __future__ import annotations

from engine.consistency import Mistake
from engine.design_file import DesignFileError, loads

# Put before what is wrong; the text is read without it.
MARK = "@@"

SMALL = """\
format = 1
name = "lean-to"

[site]
altitude = "140 m"

[conveying]
material = "fine dust"

[collector]
inlet = "160 mm"
curve = [
    { flow = "0 m^3/h", pressure = "2000 Pa" },
    { flow = "900 m^3/h", pressure = "1500 Pa" },
    { flow = "1800 m^3/h", pressure = "0 Pa" },
]

[[stock]]
id = "spiral"
kind = "pipe"
material = "galvanised spiral"

[[stock.size]]
nominal = "100"
bore = "100 mm"
outside = "102 mm"

[[stock.size]]
nominal = "160"
bore = "160 mm"

[[stock]]
id = "flex"
kind = "hose"
material = "flexible hose"

[[stock.size]]
nominal = "100"
bore = "100 mm"

[[machine]]
id = "saw"

[[machine.port]]
id = "hood"
bore = "100 mm"
needs = "500 m^3/h"
loss = 1.5

[[machine.port]]
id = "guard"
bore = "100 mm"
needs = "200 m^3/h"

[[machine]]
id = "lathe"

[[machine.port]]
id = "hood"
bore = "100 mm"
needs = "400 m^3/h"
suction = "600 Pa"

[[run]]
id = "main"
joins = "collector"
size = "spiral/160"
pieces = [
    { straight = "1.2 m" },
    { elbow = "90 deg", toward = "west" },
]

[[run]]
id = "left"
joins = "main"
as = "leg"
toward = "south"
size = "spiral/100"
pieces = [
    { gate = "left gate" },
]
ends = "lathe/hood"

[[run]]
id = "right"
joins = "main"
as = "leg"
toward = "north"
size = "spiral/100"

[[run]]
id = "saw hood"
joins = "right"
size = "spiral/100"
pieces = [
    { gate = "saw gate" },
    { hose = "0.6 m", size = "flex/100" },
]
ends = "saw/hood"

[[run]]
id = "saw guard"
joins = "right"
as = "branch"
angle = "30 deg"
bore = "80 mm"
material = "steel"
ends = "saw/guard"

[[gate_set]]
name = "turning"
open = ["lathe"]

[[gate_set]]
name = "sawing"
open = ["saw"]
"""


def broken(*changes: tuple[str, str]) -> tuple[str, list[int]]:
    """SMALL with each first text, which stands there once, made the second; the lines of the marks, in order."""
    text = SMALL
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands there {text.count(old)} times"
        text = text.replace(old, new)
    lines = [number for number, line in enumerate(text.split("\n"), 1) for _ in range(line.count(MARK))]
    return text.replace(MARK, ""), lines


def found_in(text: str) -> tuple[Mistake, ...]:
    """The mistakes of a file, none for a good one."""
    try:
        loads(text)
    except DesignFileError as error:
        return error.mistakes
    return ()

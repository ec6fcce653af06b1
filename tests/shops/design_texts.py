"""A small design file that uses every part of the format, and ways to break it. Invented data."""

from __future__ import annotations

from engine.design.mistake import Mistake
from engine.files.design_file import DesignFileError, loads

WHOLE = """\
format = 1
name = "Lock-keeper's shed"
display = "metric"
notes = ""

[site]
altitude = "140 m"
temperature = "17 degC"
humidity = 0.5
height = "2.9 m"
room = [
    { east = "0 m", north = "0 m" },
    { east = "7.5 m", north = "0 m" },
    { east = "7.5 m", north = "4.5 m" },
    { east = "0 m", north = "4.5 m" },
]

[[site.zone]]
name = "post by the stair"
kind = "post"
west = "4.8 m"
east = "5.0 m"
south = "3.8 m"
north = "4.0 m"

[[site.zone]]
name = "canoe rack"
west = "0.2 m"
east = "1.4 m"
south = "4.1 m"
north = "4.4 m"
bottom = "1.8 m"
top = "2.2 m"

[conveying]
material = "dry chips and dust"
slow_branch = "20 m/s"
slow_main = "18 m/s"
settles = "15 m/s"
fast = "28 m/s"

[collector]
name = "under the stair"
east = "6.0 m"
north = "0.6 m"
up = "1.0 m"
faces = "north"
inlet = "160 mm"
basis = "inlet suction"
test_duct = "160 mm"
density = "1.2 kg/m^3"
curve = [
    { flow = "0 m^3/h", pressure = "2400 Pa" },
    { flow = "1000 m^3/h", pressure = "2150 Pa" },
    { flow = "2000 m^3/h", pressure = "1200 Pa" },
]
discharge = "room"
filter_area = "10 m^2"

[[collector.loss]]
name = "loaded filter"
drop = "300 Pa"
at = "1500 m^3/h"
law = "linear"

[[stock]]
id = "spiral"
kind = "pipe"
material = "galvanised spiral"
roughness = "0.09 mm"
conducts = true
stick = "3 m"
elbow_radius = 1.50
elbow_make = "segmented"

[[stock.size]]
nominal = "125"
bore = "125 mm"
outside = "126 mm"
price = 9.40
in_store = true

[[stock.size]]
nominal = "160"
bore = "160 mm"

[[stock]]
id = "hose"
kind = "hose"
material = "flexible hose"

[[stock.size]]
nominal = "4 1/2 in"
bore = "4 1/2 in"

[[machine]]
id = "planer"
east = "2.0 m"
north = "3.1 m"
up = "0.9 m"
hours = 2.5

[[machine.port]]
id = "hood"
bore = "120 mm"
needs = "820 m^3/h"
loss = 1.5

[[machine]]
id = "saw"

[[machine.port]]
id = "below"
bore = "100 mm"
needs = "500 cfm"
suction = "600 Pa"

[[machine.port]]
id = "guard"
bore = "63 mm"
needs = "180 m^3/h"

[[run]]
id = "main"
joins = "collector"
size = "spiral/160"
pieces = [
    { straight = "12ft 6in" },
    { elbow = "90 deg", toward = "west", radius = 2, make = "segmented", gores = 5 },
    { cleanout = "by the door" },
]

[[run]]
id = "planer drop"
joins = "main"
as = "branch"
angle = "45 deg"
toward = "north"
taper = "blunt"
loss = 0.3
size = "spiral/125"
pieces = [
    { gate = "planer gate", loss = 0.2 },
    { straight = "0.8 m" },
    { loss = 0.35, name = "magnet trap" },
    { hose = "0.6 m", size = "hose/4 1/2 in", bend = "45 deg", compressed = 0.1 },
]
ends = "planer/hood"
port_taper = "15 deg"

[[run]]
id = "saw main"
joins = "main"
bore = "125 mm"
material = "galvanised spiral"

[[run]]
id = "saw below"
joins = "saw main"
as = "leg"
size = "spiral/125"
pieces = [
    { gate = "saw gate" },
]
ends = "saw/below"

[[run]]
id = "saw guard"
joins = "saw main"
as = "leg"
size = "spiral/125"
ends = "saw/guard"

[[gate_set]]
name = "planer alone"
open = ["planer"]
hours = 2.5

[[gate_set]]
name = "both"
open = ["planer", "saw"]
"""


# What was decided and measured in that shop, to stand at the end of its file.
RECORDS = """
[[collector_choice]]
id = "the larger one"
inlet = "200 mm"
free_air = "3400 m^3/h"
max_suction = "2600 Pa"
price = 1450

[[accepted]]
finding = "long-hose"
at = "planer drop"
reason = "the planer is rolled out to work"
date = 2026-03-01

[[limit]]
of = "long-hose.poor"
is = "2.5 m"
reason = "the hose is smooth inside"

[[test_point]]
id = "main A"
at = "main"
from_collector = "0.9 m"

[[reading]]
date = 2026-03-02
gate_set = "both"
filter = "clean"
what = "suction"
test_point = "main A"
value = "640 Pa"
give_or_take = "20 Pa"
instrument = "water column"
baseline = true

[[reading]]
what = "speed"
at = "a run that is gone"
from_collector = "1 m"
value = "19.5 m/s"

[tuned]
on = true
date = 2026-03-02
since = 2026-03-01
readings = 9
ducts = "0123abcd"
baseline = "4567cdef"
collector = 0.93
filter = 1.25
ports = 1.1
port = [
    { port = "planer/hood", loss = 1.31 },
    { port = "a port that/is gone", loss = 0.9 },
]

[[log]]
date = 2026-03-02
text = "filter shaken, 340 Pa before, 180 Pa after"
"""


def changed(*changes: tuple[str, str], text: str = WHOLE) -> str:
    """The text with each old part, which must stand in it exactly once, replaced by its new one."""
    for old, new in changes:
        assert text.count(old) == 1, f"{text.count(old)} times: {old}"
        text = text.replace(old, new)
    return text


def mistakes_in(text: str) -> tuple[Mistake, ...]:
    """The mistakes of a text that holds no design."""
    try:
        loads(text)
    except DesignFileError as error:
        return error.mistakes
    raise AssertionError("no mistake found")


def only_mistake(*changes: tuple[str, str]) -> Mistake:
    """The one mistake that the changes make; its line is that of the first new part unless it is known to be elsewhere."""
    found = mistakes_in(changed(*changes))
    assert len(found) == 1, "\n".join(map(str, found))
    return found[0]


def line_number(text: str, part: str) -> int:
    """The line that the first `part` of a text begins on."""
    return text[: text.index(part)].count("\n") + 1

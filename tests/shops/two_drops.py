"""A shop of two machines for the tests of the panes. Invented data."""

from __future__ import annotations

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.files import design_file

TEXT = """format = 1
name = "Lantern joinery [b]"

[collector]
inlet = "160 mm"
curve = [
    { flow = "0 m3/h", pressure = "2400 Pa" },
    { flow = "1000 m3/h", pressure = "2150 Pa" },
    { flow = "2600 m3/h", pressure = "0 Pa" },
]

[[collector.loss]]
name = "filter"
drop = "300 Pa"
at = "1500 m3/h"
law = "linear"

[[stock]]
id = "spiral"
kind = "pipe"
material = "galvanised spiral"
elbow_radius = 1.5

[[stock.size]]
nominal = "100"
bore = "100 mm"

[[stock.size]]
nominal = "125"
bore = "125 mm"

[[stock.size]]
nominal = "160"
bore = "160 mm"

[[stock]]
id = "hose"
kind = "hose"
material = "flexible hose"

[[stock.size]]
nominal = "125"
bore = "125 mm"

[[machine]]
id = "planer"

[[machine.port]]
id = "hood"
bore = "120 mm"
needs = "820 m3/h"

[[machine]]
id = "lathe"

[[machine.port]]
id = "hood"
bore = "100 mm"
needs = "500 m3/h"

[[run]]
id = "main"
joins = "collector"
size = "spiral/160"
pieces = [{ straight = "1.2 m" }, { elbow = "90 deg", toward = "west" }, { cleanout = "by the door" }]

[[run]]
id = "planer drop"
joins = "main"
as = "branch"
toward = "north"
size = "spiral/125"
pieces = [{ gate = "planer gate" }, { straight = "0.8 m" }, { hose = "0.6 m", bend = "45 deg" }]
ends = "planer/hood"

[[run]]
id = "main 2"
joins = "main"
size = "spiral/125"
pieces = [{ straight = "4ft" }, { loss = 0.35, name = "magnet trap" }]

[[run]]
id = "lathe drop"
joins = "main 2"
size = "spiral/100"
pieces = [{ gate = "lathe gate" }, { straight = "2 m" }]
ends = "lathe/hood"

[[gate_set]]
name = "planer alone"
open = ["planer"]

[[gate_set]]
name = "both"
open = ["planer", "lathe"]
"""


def design(text: str = TEXT) -> Design:
    """The shop."""
    return design_file.loads(text)


def assessed(text: str = TEXT) -> Assessment:
    """The shop, assessed."""
    return assess(design(text))


ROOM = """[site]
height = "3 m"
room = [
    { east = "-4 m", north = "-1 m" },
    { east = "4 m", north = "-1 m" },
    { east = "4 m", north = "5 m" },
    { east = "-4 m", north = "5 m" },
]

[[site.zone]]
name = "post"
kind = "post"
west = "2 m"
east = "2.2 m"
south = "2 m"
north = "2.2 m"
"""
_OUTSIDE = """inlet = "160 mm"
outlet = "200 mm"
discharge = "outside"
outlet_pieces = [{ straight = "2 m" }, { elbow = "90 deg" }, { loss = 1.0, name = "cowl" }]"""
FULL = (
    TEXT.replace('inlet = "160 mm"', _OUTSIDE)
    .replace('drop = "300 Pa"', 'drop = "300 Pa"\nclean = "150 Pa"\ndirty = "700 Pa"')
    .replace("[collector]", ROOM + "\n[collector]", 1)
    .replace('[[stock]]\nid = "spiral"', '[leakage]\ntightness = "A"\n\n[[stock]]\nid = "spiral"')
    + 'throttle = [{ gate = "lathe gate", open = 0.5 }]\n'
)  # fmt: skip
"""The shop that blows outside, leaks, has a filter of three states and throttles a gate in the set "both", in a room with a post."""
FREE_AIR = (
    TEXT[: TEXT.index("curve = [")] + 'free_air = "2500 m3/h"\nmax_suction = "2400 Pa"\n' + TEXT[TEXT.index("]\n", TEXT.index("curve = [")) + 2 :]
)
"""The shop whose collector is known by its free-air flow and its largest suction alone."""

"""A small shop for the parts: pipe in sticks and pipe in sockets, hose, a wye, a taper, every kind of joint. Invented."""

from __future__ import annotations

from engine import Design
from engine.files.design_file import loads

# Bodies without length: pipe is as long as the file says. What bodies take is tested beside the rule.
FLAT = """\
fitting_lengths = [
    { of = "elbow", length = "0 mm" }, { of = "wye", length = "0 mm" }, { of = "taper", length = "0 mm" },
    { of = "gate", length = "0 mm" }, { of = "cleanout", length = "0 mm" }, { of = "coupling", length = "0 mm" },
]
"""
TEXT = f"""\
format = 1
name = "canoe loft"
[collector]
east = "0 m"
north = "0 m"
up = "2.2 m"
faces = "north"
inlet = "160 mm"
curve = [{{ flow = "0 m3/h", pressure = "2500 Pa" }}, {{ flow = "2000 m3/h", pressure = "500 Pa" }}]
[[stock]]
id = "spiral"
kind = "pipe"
material = "galvanised spiral"
stick = "3 m"
{FLAT}size = [
    {{ nominal = "100", bore = "100 mm", price = 6.0, elbow_price = 9.0 }},
    {{ nominal = "160", bore = "160 mm", price = 10.0, wye_price = 30.0 }},
]
[[stock]]
id = "hose"
kind = "hose"
material = "flexible hose"
size = [{{ nominal = "100", bore = "100 mm", price = 12.0 }}]
[[machine]]
id = "saw"
[[machine.port]]
id = "hood"
bore = "100 mm"
needs = "500 m3/h"
[[machine]]
id = "lathe"
[[machine.port]]
id = "hood"
bore = "80 mm"
needs = "300 m3/h"
[[run]]
id = "main"
joins = "collector"
size = "spiral/160"
pieces = [{{ straight = "4 m" }}, {{ elbow = "90 deg", toward = "east" }}, {{ straight = "2 m" }}]
[[run]]
id = "saw drop"
joins = "main"
as = "branch"
angle = "45 deg"
toward = "south"
size = "spiral/100"
pieces = [
    {{ gate = "saw gate" }}, {{ straight = "800 mm" }}, {{ elbow = "45 deg", toward = "down" }}, {{ straight = "1 m" }},
    {{ hose = "1.5 m", size = "hose/100" }},
]
ends = "saw/hood"
[[run]]
id = "lathe drop"
joins = "main"
size = "spiral/100"
pieces = [{{ straight = "50 mm" }}, {{ cleanout = "end" }}, {{ straight = "1.5 m" }}]
ends = "lathe/hood"
"""


def canoe_loft(text: str = TEXT) -> Design:
    """The shop."""
    return loads(text)

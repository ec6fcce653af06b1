"""The cards there are."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, pi, radians

from engine.air.losses.leaks import LEAK_EXPONENT, wall_leak
from engine.air.one.duct_maker import material_roughness
from engine.air.one.ducts import area
from engine.design import defaults
from engine.field import conversions as of
from engine.field.cards import AIR, Answer, Blank, Card, CardError, Figure, Given
from engine.units.words import counted

_COURSE = "course sheets on ventilation: V = sqrt(2 VP / density), Q = V A"
_WATER = 998.2  # kg/m3 at 20 degC
_MOST_READINGS = 40
GAUGE = "gauge"
"""The card whose pressure is what was read; that of other cards is a velocity pressure."""


def _positive(name: str, words: str, dimension: str, usual: str = "", most: int = 1, high: float = inf) -> Blank:
    return Blank(name, words, dimension, usual, most, above=0.0, high=high)


_BORE = _positive("bore", "inside, of the duct", "bore", high=2.0)
_FLOW, _SPEED = _positive("flow", "of air", "flow", high=100.0), _positive("speed", "of air", "speed", high=300.0)
_PRESSURE = _positive("pressure", "velocity pressure", "pressure", high=30000.0)
_ROUGHNESS = _positive("roughness", f"of the pipe; empty: {defaults.PIPE_MATERIAL}", "roughness", high=0.01)


def _stream(flow: float, speed: float, given: Given) -> tuple[Figure, ...]:
    pressure = of.velocity_pressure(speed, given.air.density)
    return Figure("flow", flow, "flow"), Figure("speed", speed, "speed"), Figure("pressure", pressure, "pressure")


def _duct(given: Given) -> Answer:
    """Any two of flow, bore and speed make the third; a velocity pressure is a speed."""
    speeds = [name for name in ("speed", "pressure") if given.has(name)]
    if len(speeds) > 1:
        raise CardError("one of speed and pressure is wanted, not both: the one makes the other")
    speed = None
    if speeds:
        speed = given.one("speed") if given.has("speed") else of.speed_of(given.one("pressure"), given.air.density)
    if given.has("flow") and given.has("bore"):
        if speed is not None:
            raise CardError("two of flow, bore and speed are wanted, not three")
        flow, bore = given.one("flow"), given.one("bore")
        return Answer(_stream(flow, flow / area(bore), given)[1:])
    if speed is None:
        raise CardError("speed or pressure is wanted, or both flow and bore")
    found = _stream(0.0, speed, given)
    about = (found[2],) if given.has("speed") else (found[1],)
    if given.has("bore"):
        return Answer((Figure("flow", speed * area(given.one("bore")), "flow"), *about))
    if given.has("flow"):
        return Answer((Figure("bore", of.bore_for(given.one("flow"), speed), "bore"), *about))
    return Answer(about)


def _points(given: Mapping[str, tuple[float, ...]]) -> tuple[float, ...]:
    """The places of the traverse, as shares of the bore. Raises CardError where there is no such traverse."""
    count = (given.get("points") or (0.0,))[0]
    if count not in of.TRAVERSES:
        raise CardError(f"points: {count:g}; wanted {' or '.join(map(str, of.TRAVERSES))}")
    return of.TRAVERSES[int(count)]


def _pitot_place(given: Mapping[str, tuple[float, ...]], name: str, index: int) -> tuple[float, ...]:
    """How deep from the wall a reading is taken, m, on which way across, and its number there."""
    bore = given.get("bore")
    if name != "readings" or not bore:
        return ()
    points = _points(given)
    ways, number = divmod(index, len(points))
    return points[number] * bore[0], ways + 1, number + 1


def _pitot(given: Given) -> Answer:
    points, readings, bore = _points(given.values), given.all("readings"), given.one("bore")
    if len(readings) % len(points):
        across = counted(len(readings) // len(points) + 1, "way across", "ways across")
        raise CardError(f"{counted(len(readings), 'reading')} so far; {across} are {len(points) * (len(readings) // len(points) + 1)}")
    speed = of.traverse_speed(readings, given.air.density)
    remarks = []
    if given.has("again") and not of.repeats(readings[0], given.one("again")):
        remarks.append("the reading taken again is more than 10 % off: hold the tube straight and take all anew (UFGS 15951N, 3.2.2)")
    if len(readings) == len(points):
        remarks.append("one way across: take a second one at right angles to it, through a hole of its own")
    if min(readings) == 0.0:
        remarks.append("a reading of 0 in moving air: turn the tube into the stream")
    remarks.append("wanted 7.5 bores of straight duct before the holes (UFGS 15951N)")
    return Answer(_stream(speed * area(bore), speed, given), tuple(remarks))


def _hood(given: Given) -> Answer:
    suction, bore = given.one("suction"), given.one("bore")
    speed = of.hood_speed(suction, given.one("loss"), given.air.density)
    flow, speed_told, pressure = _stream(speed * area(bore), speed, given)
    entry = Figure("coefficient of entry", of.entry_coefficient(suction, pressure.value), "")
    tap = "tap 1 bore behind a tapered hood, 3 behind a plain one (UFGS 15951N)"
    return Answer((flow, speed_told, pressure, entry), (tap, "the loss of a machine's port is seldom known: one traverse tells it"))


def _vane(given: Given) -> Answer:
    flow = of.vane_flow(given.all("readings"), given.one("opening"), given.one("factor"))
    mean = sum(given.all("readings")) / len(given.all("readings"))
    spread = of.VANE_SPREAD
    return Answer(
        (
            Figure("flow", flow, "flow"),
            Figure("low", flow * (1 - spread), "flow"),
            Figure("high", flow * (1 + spread), "flow"),
            Figure("mean", mean, "speed"),
        ),
        (f"give or take {spread:.0%} at an opening: common practice, no source",),
    )


def _roughness(given: Given) -> float:
    return given.one("roughness") if given.has("roughness") else material_roughness(defaults.PIPE_MATERIAL)


def _fitting(given: Given) -> Answer:
    bore, rough = given.one("bore"), _roughness(given)
    flow = given.flow_or_speed(area(bore))
    if given.has("loss") == given.has("length"):
        raise CardError("one of loss and length is wanted" + (", not both" if given.has("loss") else ""))
    if given.has("loss"):
        told = Figure("length", of.as_pipe(given.one("loss"), flow, bore, rough, given.air), "length")
        coefficient = given.one("loss")
    else:
        coefficient = of.as_coefficient(given.one("length"), flow, bore, rough, given.air)
        told = Figure("loss", coefficient, "")
    drop = coefficient * of.velocity_pressure(flow / area(bore), given.air.density)
    return Answer((told, Figure("drop", drop, "pressure")))


def _bore(given: Given) -> Answer:
    bore, other, rough = given.one("bore"), given.one("other"), _roughness(given)
    flow = given.flow_or_speed(area(bore))
    length = given.one("length")
    before, after = (of.friction_loss(flow, size, rough, given.air) * length for size in (bore, other))
    return Answer(
        (
            Figure("speed", flow / area(other), "speed"),
            Figure("speed before", flow / area(bore), "speed"),
            Figure("drop", after, "pressure"),
            Figure("drop before", before, "pressure"),
            Figure("times", after / before, ""),
        ),
        ("at the same flow: the collector gives another one in another bore, which only the whole design tells",),
    )


def _gauge(given: Given) -> Answer:
    if given.has("pressure") == given.has("column"):
        raise CardError("one of pressure and column is wanted" + (", not both" if given.has("pressure") else ""))
    liquid, slope = given.one("liquid"), given.one("slope")
    pressure = given.one("pressure") if given.has("pressure") else of.tube_pressure(given.one("column"), liquid, slope)
    return Answer((Figure("pressure", pressure, "pressure"), Figure("column", of.tube_length(pressure, liquid, slope), "bore")))


def _leak(given: Given) -> Answer:
    """What a stage of ducts may draw through its walls, by the classes of EN 12237; with a flow read, the class it keeps."""
    wall, suction = pi * given.one("bore") * given.one("length"), given.one("suction")
    flows = {tightness: wall_leak(tightness, wall) * suction**LEAK_EXPONENT for tightness in "ABCD"}
    how = "cap all openings but one, suck there, read suction and flow; then listen and feel along the joints"
    if not given.has("flow"):
        return Answer(tuple(Figure(f"class {tightness}", flow, "flow") for tightness, flow in flows.items()), (how,))
    kept = [tightness for tightness, flow in flows.items() if given.one("flow") <= flow]
    found = f"as tight as class {kept[-1]} of EN 12237, D being the tightest" if kept else "leaks more than class A of EN 12237 allows"
    least = flows[kept[-1] if kept else "A"]
    return Answer((Figure("times what it may", given.one("flow") / least, ""), Figure("may", least, "flow")), (found, how))


_LOSS = Blank("loss", "in velocity pressures", "", low=0.0, high=1000.0)
DECK = (
    Card("duct", "speed, flow, bore, velocity pressure", (_FLOW, _BORE, _SPEED, _PRESSURE, *AIR), _duct, _COURSE),
    Card(
        "pitot",
        "a pitot traverse",
        (
            _BORE,
            Blank("points", f"in a row: {' or '.join(map(str, of.TRAVERSES))}", "", "6", low=2.0, high=20.0),
            Blank("readings", "velocity pressures, from one wall on", "pressure", most=_MOST_READINGS, low=0.0, high=30000.0),
            _positive("again", "the first one read again", "pressure", high=30000.0),
            *AIR,
        ),
        _pitot,
        "log-linear traverse; each reading to a speed before the mean: guides to pitot tubes; 10 points by ISO 3966, from memory",
        _pitot_place,
    ),
    Card(
        "hood",
        "hood suction to flow",
        (
            _positive("suction", "static, behind the hood", "pressure", high=30000.0),
            _BORE,
            Blank("loss", "of the entry, in velocity pressures", "", f"{defaults.PORT_LOSS:g}", low=0.0, high=1000.0),
            *AIR,
        ),
        _hood,
        "hood suction = (1 + loss) velocity pressures: course sheet on ventilation",
    ),
    Card(
        "vane",
        "vane or hot-wire readings to flow",
        (
            _positive("readings", "speeds over the opening", "speed", most=_MOST_READINGS, high=300.0),
            _positive("opening", "its area", "area", high=100.0),
            _positive("factor", "share of it that draws", "", "1", high=1.0),
        ),
        _vane,
        "flow = mean speed x area x factor: common practice, no source",
    ),
    Card(
        "fitting",
        "a fitting as pipe, pipe as a fitting",
        (_LOSS, _positive("length", "of pipe", "length", high=1000.0), _BORE, _FLOW, _SPEED, _ROUGHNESS, *AIR),
        _fitting,
        "Darcy-Weisbach with Colebrook",
    ),
    Card(
        "bore",
        "another bore at this flow",
        (
            _FLOW,
            _SPEED,
            _BORE,
            _positive("other", "bore instead", "bore", high=2.0),
            _positive("length", "of pipe", "length", "1 m", high=1000.0),
            _ROUGHNESS,
            *AIR,
        ),
        _bore,
        "Darcy-Weisbach with Colebrook",
    ),
    Card(
        "leak",
        "leak test of a stage",
        (
            _BORE,
            _positive("length", "of all ducts in it", "length", high=1000.0),
            _positive("suction", "static, in it", "pressure", high=30000.0),
            _positive("flow", "that it draws, if it was read", "flow", high=100.0),
        ),
        _leak,
        "flow = k suction^0.65 x wall, EN 12237",
    ),
    Card(
        GAUGE,
        "U-tube and gauge",
        (
            _positive("pressure", "on a gauge", "pressure", high=1e6),
            _positive("column", "between the levels", "bore", high=2.0),
            _positive("liquid", "density", "density", f"{_WATER} kg/m3", high=2e4),
            Blank("slope", "of the tube", "angle", "90 deg", above=0.0, high=radians(90.0) + 1e-9),
        ),
        _gauge,
        "density x g x height; inches and millimetres of water on a gauge are the conventional ones",
    ),
)

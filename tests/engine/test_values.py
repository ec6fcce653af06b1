"""Our dataclasses beside the standard library's, made of the same lines."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from dataclasses import FrozenInstanceError, field, replace
from typing import Any

import pytest

from engine.values import dataclass

MAKERS = {"own": dataclass, "standard": dataclasses.dataclass}


def _classes(make: Any) -> dict[str, Any]:
    """One class of each kind in use."""

    @make(frozen=True, slots=True)
    class Spot:
        """A spot."""

        east: float
        north: float = 0.0
        marks: list[str] = field(default_factory=list)
        remark: str = field(default="", compare=False, repr=False)
        up: float = field(default=1.0, kw_only=True)

    @make(frozen=True)
    class Sum:
        """With a field that is set from others."""

        parts: tuple[float, ...]
        total: float = field(init=False, compare=False)

        def __post_init__(self) -> None:
            object.__setattr__(self, "total", sum(self.parts))

    @make(slots=True, kw_only=True)
    class Tally:
        """One that changes."""

        count: int = 0

    @make(frozen=True, slots=True)
    class Nothing:
        """Without fields."""

    @make(frozen=True, slots=True, eq=False)
    class Alone:
        """Equal to itself alone."""

        name: str

    @make(frozen=True, slots=True)
    class Told:
        """With a repr of its own."""

        name: str

        def __repr__(self) -> str:
            return f"<{self.name}>"

    return {each.__name__: each for each in (Spot, Sum, Tally, Nothing, Alone, Told)}


KINDS = {name: _classes(make) for name, make in MAKERS.items()}
# Where pickle looks for them: only our own are pickled.
globals().update(KINDS["own"])
for _name, _kind in KINDS["own"].items():
    _kind.__qualname__ = _name

TRIALS = {
    "by place": lambda k: dataclasses.astuple(k["Spot"](1.0, 2.0, ["a"], "why", up=3.0)),
    "by name": lambda k: dataclasses.astuple(k["Spot"](north=2.0, east=1.0)),
    "a default each its own": lambda k: k["Spot"](1.0).marks is k["Spot"](1.0).marks,
    "shown": lambda k: repr(k["Spot"](1.0, remark="why")).rpartition("Spot(")[2],
    "shown in its own way": lambda k: repr(k["Told"]("saw")),
    "shown without fields": lambda k: repr(k["Nothing"]()).rpartition("Nothing")[2],
    "equal": lambda k: k["Spot"](1.0, remark="a") == k["Spot"](1.0, remark="b"),
    "unequal": lambda k: [k["Spot"](1.0) == other for other in (k["Spot"](2.0), k["Spot"](1.0, up=2.0), 1.0, k["Nothing"]())],
    "equal without fields": lambda k: k["Nothing"]() == k["Nothing"](),
    "equal to itself alone": lambda k: [k["Alone"]("saw") == k["Alone"]("saw"), len({k["Alone"]("saw"), k["Alone"]("saw")})],
    "its hash": lambda k: [hash(k["Sum"]((1.0, 2.0))) == hash(((1.0, 2.0),)), len({k["Sum"]((1.0,)), k["Sum"]((1.0,))}), hash(k["Nothing"]())],
    "no hash of what changes": lambda k: hash(k["Tally"]()),
    "no hash of what holds a list": lambda k: hash(k["Spot"](1.0)),
    "set from others": lambda k: k["Sum"]((1.0, 2.0)).total,
    "nothing to give that is set from others": lambda k: k["Sum"]((1.0,), 2.0),
    "changed": lambda k: _set(k["Tally"](count=1), "count", 2).count,
    "not changed": lambda k: _set(k["Spot"](1.0), "east", 2.0),
    "not deleted": lambda k: delattr(k["Spot"](1.0), "east"),
    "no other attribute": lambda k: _set(k["Tally"](), "other", 2),
    "by name alone": lambda k: k["Tally"](1),
    "one missing": lambda k: k["Spot"](north=1.0),
    "one too many": lambda k: k["Nothing"](1),
    "one unknown": lambda k: k["Spot"](1.0, south=1.0),
    "replaced": lambda k: dataclasses.astuple(replace(k["Spot"](1.0, 2.0, remark="why"), north=5.0)),
    "what is set is not replaced": lambda k: replace(k["Sum"]((1.0,)), total=3.0),
    "as a dict": lambda k: dataclasses.asdict(k["Sum"]((1.0,))),
    "matched": lambda k: k["Spot"].__match_args__,
    "copied": lambda k: copy.copy(k["Spot"](1.0, 2.0)) == k["Spot"](1.0, 2.0),
}  # fmt: skip


def _set(thing: Any, name: str, value: object) -> Any:
    setattr(thing, name, value)
    return thing


def _outcome(trial: Any, kinds: dict[str, Any]) -> object:
    try:
        return trial(kinds)
    except (TypeError, ValueError, AttributeError) as error:
        text = str(error).replace("test_values.", "")
        return type(error), "" if isinstance(error, FrozenInstanceError) else text.rpartition(".")[2]


@pytest.mark.parametrize("trial", TRIALS.values(), ids=TRIALS)
def test_they_do_as_the_standard_librarys(trial):
    own, standard = (_outcome(trial, _classes(make)) for make in MAKERS.values())
    assert own == standard
    assert _outcome(trial, KINDS["own"]) == standard  # and once their methods are written


@pytest.mark.parametrize("made", [("Spot", 1.0, 2.0, ["a"]), ("Sum", (1.0, 2.0)), ("Tally",), ("Nothing",)], ids=lambda made: made[0])
def test_they_are_pickled_whole(made):
    name, *given = made
    thing = KINDS["own"][name](*given)
    again = pickle.loads(pickle.dumps(thing))
    assert (again, type(again)) == (thing, type(thing))


def test_a_method_is_written_once():
    kind = _classes(dataclass)["Spot"]
    first = vars(kind)["__init__"]
    kind(1.0)
    written = vars(kind)["__init__"]
    kind(2.0)
    assert first is not written
    assert vars(kind)["__init__"] is written


def test_one_that_holds_itself_is_shown():
    spot = KINDS["own"]["Spot"](1.0, marks=[])
    spot.marks.append(spot)
    assert repr(spot) == "Spot(east=1.0, north=0.0, marks=[...], up=1.0)"

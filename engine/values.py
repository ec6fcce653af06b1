"""Dataclasses like the standard library's, which cost a start of the program next to nothing.

The standard library writes and compiles six functions for every class, which
takes half a millisecond: a quarter of a start, with hundreds of classes. Here
what is to be written for a class is written when it is first called, and what
can be the same for all classes is. Fields, `replace` and all else are the
standard library's own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, fields
from dataclasses import dataclass as described
from functools import partial
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any

# The text of a method, a line each, and the names that it goes by.
_Written = tuple[list[str], dict[str, Any]]


def _value(cls: type[Any] | None = None, /, *, frozen: bool = False, slots: bool = False, eq: bool = True, kw_only: bool = False) -> Any:
    """`dataclasses.dataclass`, with as many of its options as are in use."""
    if cls is None:
        return partial(_value, frozen=frozen, slots=slots, eq=eq, kw_only=kw_only)
    cls = described(init=False, repr=False, eq=False, slots=slots, kw_only=kw_only)(cls)
    methods: dict[str, Any] = {"__init__": _late(cls, "__init__", partial(_init, frozen=frozen)), "__repr__": _repr}
    if eq:
        methods |= {"__eq__": _late(cls, "__eq__", _eq), "__hash__": _late(cls, "__hash__", _hash) if frozen else None}
    if frozen:
        methods |= {"__setattr__": _refuse, "__delattr__": _refuse}
    if frozen and slots:
        methods |= {"__getstate__": _state, "__setstate__": _set_state}
    for name, method in methods.items():
        if name not in vars(cls):
            setattr(cls, name, method)
    return cls


def _late(cls: type[Any], name: str, write: Callable[[type[Any]], _Written]) -> Callable[..., Any]:
    """A method of a class that is written by `write` when it is first called."""

    def method(self: Any, *args: Any, **named: Any) -> Any:
        lines, names = write(cls)
        exec("\n ".join(lines), names)
        written = names[name]
        written.__qualname__ = f"{cls.__qualname__}.{name}"
        setattr(cls, name, written)
        return written(self, *args, **named)

    return method


def _init(cls: type[Any], *, frozen: bool) -> _Written:
    by_place: list[str] = []
    by_name: list[str] = []
    lines, names = [], dict[str, Any](_set=object.__setattr__, _missing=MISSING)
    for field in fields(cls):
        name = value = given = field.name
        if field.default_factory is not MISSING:
            names[f"_make_{name}"] = field.default_factory
            value, given = f"_make_{name}() if {name} is _missing else {name}", f"{name}=_missing"
        elif field.default is not MISSING:
            names[f"_default_{name}"] = field.default
            given = f"{name}=_default_{name}"
        if field.init:
            (by_name if field.kw_only else by_place).append(given)
            lines.append(f"_set(self, {name!r}, {value})" if frozen else f"self.{name} = {value}")
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    taken = ["self", *by_place, *(["*"] if by_name else []), *by_name]
    return [f"def __init__({', '.join(taken)}):", *(lines or ["pass"])], names


def _eq(cls: type[Any]) -> _Written:
    own, others = ("".join(f"{whose}.{field.name}, " for field in fields(cls) if field.compare) for whose in ("self", "other"))
    return ["def __eq__(self, other):", f"return ({own}) == ({others}) if other.__class__ is self.__class__ else NotImplemented"], {}


def _hash(cls: type[Any]) -> _Written:
    own = "".join(f"self.{field.name}, " for field in fields(cls) if field.compare)
    return ["def __hash__(self):", f"return hash(({own}))"], {}


@recursive_repr()
def _repr(self: Any) -> str:
    shown = [f"{field.name}={getattr(self, field.name)!r}" for field in fields(self) if field.repr]
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse(self: Any, name: str, *value: object) -> None:
    raise FrozenInstanceError(f"cannot {'assign to' if value else 'delete'} field {name!r} of {type(self).__qualname__}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, field.name) for field in fields(self)]


def _set_state(self: Any, state: list[Any]) -> None:
    for field, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    dataclass = _value

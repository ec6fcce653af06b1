"""Design files changed at random, and reading them with what must hold of whatever is read."""

from __future__ import annotations

import dataclasses
from math import isfinite
from pathlib import Path
from random import Random

from engine.design import Design
from engine.design.mistake import LONGEST_LINE, MOST_MISTAKES
from engine.files.design_file import DesignFileError, load
from engine.units import Quantity


def read(data: bytes, path: Path) -> Design | None:
    """The design in the bytes, checked; None where there are mistakes, checked too."""
    path.write_bytes(data)
    try:
        design, found = load(path), ()
    except DesignFileError as error:
        design, found = None, error.mistakes
    if design is None:
        assert 1 <= len(found) <= MOST_MISTAKES + 1, data
        for mistake in found:
            assert str(mistake).isprintable() and len(str(mistake)) <= LONGEST_LINE, data
            assert mistake.line is None or 1 <= mistake.line <= data.count(b"\n") + 1, data
            assert all(text.isprintable() for text in (mistake.where, mistake.found, mistake.wanted, mistake.nearest)), data
        return None
    assert all(isfinite(number) for number in numbers_in(design)), data
    return design


def numbers_in(item):
    """Every number a design holds."""
    if isinstance(item, Quantity):
        yield item.si
    elif isinstance(item, (int, float)):
        yield item
    elif dataclasses.is_dataclass(item):
        for field in dataclasses.fields(item):
            yield from numbers_in(getattr(item, field.name))
    elif isinstance(item, tuple):
        for inner in item:
            yield from numbers_in(inner)


WEIRD = [
    b"[", b"]", b"{", b"}", b'"""', b"'''", b"\\", b"\x1b[31m", b"\\u202e", b"1e999", b"nan", b"-0", b"0x" + b"f" * 300, b"true",
    b"1979-05-27",
    b"[[run]]", b"[collector]", b'"collector"', b'"main"', b"= =", b"\xff", b"#", b",", b"\n", b"\r", b'"1/0 m"', b'"9 m^3/h"', b'"blunt"',
    b"[]", b"{}",
]  # fmt: skip


def mutated(rng: Random, data: bytes) -> bytes:
    """One to four changes: bytes, lines, numbers, quoted texts and odd tokens."""
    for _ in range(rng.randint(1, 4)):
        lines = data.split(b"\n")
        i, j = rng.randrange(len(lines)), rng.randrange(len(lines))
        at = rng.randrange(len(data))
        match rng.randrange(7):
            case 0:
                data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
            case 1:
                lines[i], lines[j] = lines[j], lines[i]
                data = b"\n".join(lines)
            case 2:
                data = b"\n".join(lines[:i] + lines[i + rng.randint(1, 3) :]) or b"x"
            case 3:
                data = b"\n".join([*lines[:i], lines[j], *lines[i:]])
            case 4:
                data = data[:at] + rng.choice(WEIRD) + data[at:]
            case 5:
                key = lines[i].partition(b"=")[0]
                data = b"\n".join([*lines[:i], key + b"= " + rng.choice([*WEIRD, lines[j].partition(b"=")[2]]), *lines[i + 1 :]])
            case 6:
                data = data[: max(at, 1)] if rng.random() < 0.2 else data[:at] + data[at + rng.randint(1, 9) :] or b"x"
    return data

"""Hostile design files: whatever the bytes, a design of finite numbers or mistakes in short lines that a terminal can show."""

from __future__ import annotations

import dataclasses
from math import isfinite
from pathlib import Path
from random import Random

import pytest

from engine.design import Design
from engine.design_file import MOST_BYTES, DesignFileError, load, loads
from engine.mistake import LONGEST_LINE, MOST_MISTAKES
from engine.units import Quantity
from tests.engine.design_texts import WHOLE

DEMO = (Path(__file__).parents[2] / "saved_designs" / "signal_box.toml").read_bytes()

BYTES = {
    "empty": b"",
    "no text": b"name = \"\xff\xfe\"",
    "zeros": bytes(1000),
    "two bytes a letter": WHOLE.encode("utf-16"),
    "too big": WHOLE.encode() + b"#" * MOST_BYTES,
    "nested lists": b"a = " + b"[" * 20_000,
    "closed nested lists": b"a = " + b"[" * 400 + b"]" * 400,
    "nested tables": b"a = " + b"{a=" * 20_000,
    "long key": b"a" + b".a" * 200_000 + b" = 1\n" * 20_000,
    "long header": b"[a" + b".a" * 200_000 + b"]\n" + b"".join(b"a%d=1\n" % i for i in range(20_000)),
    "many digits": b"a = " + b"9" * 10_000,
    "many quotes": b'a = """' * 20_000,
    "many unknown keys": b"".join(b"k%d = 1\n" % i for i in range(50_000)),
    "many wrong pieces": WHOLE.encode() + b"[[run]]\nid='x'\njoins='main'\npieces=[" + b"{stright='1 m'}," * 20_000 + b"]",
}  # fmt: skip

def read(data: bytes, path: Path) -> Design | None:
    """The design in the bytes, checked; None where there are mistakes, checked too."""
    path.write_bytes(data)
    try:
        design = load(path)
    except DesignFileError as error:
        assert 1 <= len(error.mistakes) <= MOST_MISTAKES + 1, data
        for mistake in error.mistakes:
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


@pytest.mark.parametrize("name", BYTES)
def test_bytes_that_hold_no_design(tmp_path, name):
    assert read(BYTES[name], tmp_path / "shop.toml") is None


def test_random_bytes(tmp_path):
    rng = Random(7)
    for _ in range(300):
        assert read(rng.randbytes(rng.randrange(400)), tmp_path / "shop.toml") is None
    signs = b"[]{}=,.\"'#\n\\ abrun1-"
    for _ in range(1000):
        read(bytes(rng.choices(signs, k=rng.randrange(60))), tmp_path / "shop.toml")


BAD_VALUES = [
    "nan", "-inf", "1e400", "true", "1979-05-27", "07:32:00", "9" * 400, "0x" + "f" * 300, '""', '" "', '"nan m"', '"inf Pa"', '"1e400 m"', '"-1 mm"',
    "[]", "[[]]", "{}", "[{}]", '"\\u001b[31m"', '"\\u009b2J"', '"\\u007f"', '"\\u202e"', f'"{"x" * 9000}"', "[" * 90 + "]" * 90,
]  # fmt: skip


@pytest.mark.parametrize("value", BAD_VALUES, ids=[value[:12] for value in BAD_VALUES])
def test_a_bad_value_of_any_key(tmp_path, value):
    lines = WHOLE.split("\n")
    for i, line in enumerate(lines):
        if line[:1].isalpha():
            read("\n".join([*lines[:i], f"{line.partition('=')[0]}= {value}", *lines[i + 1 :]]).encode(), tmp_path / "shop.toml")


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e400", '"nan m"', '"inf m"', '"1e400 m"', "true"])
def test_what_is_no_finite_number_is_refused(value):
    for old in ("humidity = 0.5", 'altitude = "140 m"', "hours = 2.5\n\n[[machine.port]]"):
        key, _, rest = old.partition(" = ")
        after = rest.partition("\n")[1] + rest.partition("\n")[2]
        with pytest.raises(DesignFileError):
            loads(WHOLE.replace(old, f"{key} = {value}{after}", 1))


@pytest.mark.parametrize("code", [0, 7, 10, 27, 127, 0x85, 0x9B, 0x202E, 0x2066, 0x2028, 0xFEFF])
def test_control_characters_in_keys_and_names_are_not_repeated(tmp_path, code):
    sign = f"\\u{code:04x}"
    for text in (f'"al{sign}titude" = 1\n{WHOLE}', WHOLE + f'\n[["r{sign}un"]]\nid = "x"\n', WHOLE.replace('"saw gate"', f'"saw{sign}gate"'), WHOLE.replace('id = "saw guard"', f'id = "saw{sign}guard"'), f"{WHOLE}# {chr(code)}\nx"):
        assert read(text.encode(), tmp_path / "shop.toml") is None


WEIRD = [
    b"[", b"]", b"{", b"}", b'"""', b"'''", b"\\", b"\x1b[31m", b"\\u202e", b"1e999", b"nan", b"-0", b"0x" + b"f" * 300, b"true", b"1979-05-27",
    b"[[run]]", b"[collector]", b'"collector"', b'"main"', b"= =", b"\xff", b"#", b",", b"\n", b"\r", b'"1/0 m"', b'"9 m^3/h"', b'"blunt"', b"[]", b"{}",
]  # fmt: skip


def _mutated(rng: Random, data: bytes) -> bytes:
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
                data = b"\n".join([*lines[:i], key + b"= " + rng.choice(WEIRD + [lines[j].partition(b"=")[2]]), *lines[i + 1 :]])
            case 6:
                data = data[: max(at, 1)] if rng.random() < 0.2 else data[:at] + data[at + rng.randint(1, 9) :] or b"x"
    return data


@pytest.mark.parametrize(("text", "times"), [(WHOLE.encode(), 900), (DEMO, 600)], ids=["whole", "demo"])
def test_mutated_files(tmp_path, text, times):
    rng = Random(20)
    good = [design for _ in range(times) if (design := read(_mutated(rng, text), tmp_path / "shop.toml"))]
    assert 10 < len(good) < times - 300  # the mutations are neither all fatal nor all harmless

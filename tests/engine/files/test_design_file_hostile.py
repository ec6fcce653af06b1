"""Hostile design files: whatever the bytes, a design of finite numbers or mistakes in short lines that a terminal can show."""

from __future__ import annotations

from random import Random

import pytest

from engine.files.design_file import MOST_BYTES, DesignFileError, loads
from tests import SAVED_DESIGNS
from tests.shops.design_texts import WHOLE
from tests.shops.hostile_files import mutated, read

DEMO = (SAVED_DESIGNS / "signal_box.toml").read_bytes()

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
    lines, header, tried = WHOLE.split("\n"), "", set()
    for i, line in enumerate(lines):
        header = line if line.startswith("[") else header
        key = line.partition("=")[0]
        if line[:1].isalpha() and (header, key) not in tried:
            tried.add((header, key))
            read("\n".join([*lines[:i], f"{key}= {value}", *lines[i + 1 :]]).encode(), tmp_path / "shop.toml")
    assert len(tried) > 50


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
    for text in (
        f'"al{sign}titude" = 1\n{WHOLE}',
        WHOLE + f'\n[["r{sign}un"]]\nid = "x"\n',
        WHOLE.replace('"saw gate"', f'"saw{sign}gate"'),
        WHOLE.replace('id = "saw guard"', f'id = "saw{sign}guard"'),
        f"{WHOLE}# {chr(code)}\nx",
    ):
        assert read(text.encode(), tmp_path / "shop.toml") is None


@pytest.mark.parametrize(("text", "times"), [(WHOLE.encode(), 500), (DEMO, 400)], ids=["whole", "demo"])
def test_mutated_files(tmp_path, text, times):
    rng = Random(20)
    good = [design for _ in range(times) if (design := read(mutated(rng, text), tmp_path / "shop.toml"))]
    assert 5 < len(good) < times / 2  # the mutations are neither all fatal nor all harmless

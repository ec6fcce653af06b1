"""The lines of keys in TOML of any layout."""

from __future__ import annotations

import tomllib

import pytest

from engine.files.toml_lines import MOST_KEY_PARTS, has_comment, line_of, line_of_long_key, lines_of
from tests.shops.design_texts import WHOLE, line_number

CASES = {
    "a = 1\nb.c = 2": {("a",): 1, ("b",): 2, ("b", "c"): 2},
    "[a]\n\n[a.b]\nc = 1": {("a",): 1, ("a", "b"): 3, ("a", "b", "c"): 4},
    "[[a]]\n[[a.b]]\n[[a]]\nc = 1\n[[a.b]]\n[a.b.d]\ne = 2": {("a", 0): 1, ("a", 0, "b", 0): 2, ("a", 1, "c"): 4, ("a", 1, "b", 0, "d", "e"): 7},
    "[ a . 'b.c' ] # d\ne = 1": {("a", "b.c", "e"): 2},
    '"a\\u00fc" = 1\n"b c".d = 2': {("aü",): 1, ("b c", "d"): 2},
    "a = [ # first [\n  { b = 1 },\n\n  # { b = 2 }\n  { b = [\n 3,\n 4 ], c = { d = 5 } } ]\ne = 1": {
        ("a", 0, "b"): 2,
        ("a", 1): 5,
        ("a", 1, "b", 1): 7,
        ("a", 1, "c", "d"): 7,
        ("e",): 8,
    },
    'a = """\n[b]\nc = 1\n""""\nd = 2': {("a",): 1, ("d",): 5},
    "a = '''\n[b] # '' c = 1\n'''\nd = '#'\ne = 2": {("a",): 1, ("d",): 4, ("e",): 5},
    'a = "x\\"\\\\" # "b = 1\nc = 2': {("a",): 1, ("c",): 2},
    "a = 1979-05-27 07:32:00\nb = 1": {("a",): 1, ("b",): 2},
    "a = '\u2028\x0b'.b = 1".replace("\x0b", "").replace("'.b = 1", "'\nb = 1"): {("b",): 2},
    "a = 1\r\nb = 2\r\n": {("b",): 2},
}


@pytest.mark.parametrize("text", CASES)
def test_every_key_has_its_line(text):
    tomllib.loads(text)
    found = lines_of(text)
    assert {path: found.get(path) for path in CASES[text]} == CASES[text]


def test_no_key_of_a_text_is_missed_or_made_up():
    def paths(value, path=()):
        rows = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        for step, inner in rows:
            yield (*path, step)
            yield from paths(inner, (*path, step))

    found = lines_of(WHOLE)
    assert found.keys() == set(paths(tomllib.loads(WHOLE)))
    assert found["run", 1, "pieces", 3, "bend"] == line_number(WHOLE, "bend =")


def test_what_has_no_line_has_that_of_what_it_is_part_of():
    lines = lines_of("[a]\nb = 1")
    assert line_of(lines, ("a", "c", "d")) == 1
    assert line_of(lines, ("c",)) is None


def test_a_comment_is_no_text():
    assert not has_comment('a = \'#\'\nb = """\n# """')
    assert has_comment("a = 1 # b") and has_comment("a = [\n1, # b\n]")


@pytest.mark.parametrize(("parts", "line"), [(MOST_KEY_PARTS, None), (MOST_KEY_PARTS + 1, 2)])
def test_a_key_of_too_many_parts_is_told_by_its_line_and_dots_elsewhere_are_none(parts, line):
    key = ".".join("a" * parts)
    assert line_of_long_key(f"b = 1\n{key} = 2") == line
    assert line_of_long_key(f"b = '{key}' # {key}") is None

"""Answers as a file, so that an interview can be gone on with another day."""

from __future__ import annotations

import tomllib
from pathlib import Path

import tomli_w

from engine.files import design_file
from engine.files.design_reader import Reader, TypedNumber
from engine.survey.answers import Answers
from engine.survey.room import READERS
from engine.survey.store import read_again

FORMAT = 1
_HEAD = ("interview", "at", "given", "alone", "kinds", "said", "folder")
LINES = (*READERS, "hanging")


def dumps(answers: Answers) -> str:
    """The answers as TOML."""
    head = {
        "interview": FORMAT, "at": answers.at, "given": sorted(answers.given), "alone": answers.alone, "kinds": list(answers.kinds),
        "folder": answers.folder,
        "said": [list(pair) for pair in answers.said],
    }  # fmt: skip
    return tomli_w.dumps(head) + design_file.dumps(answers.shop)


def loads(text: str) -> Answers | None:
    """The answers in a text, with the store file they name as it now is; None where it holds none that can be read."""
    try:
        raw = tomllib.loads(text, parse_float=TypedNumber)
    except (ValueError, RecursionError):
        return None
    head = {key: raw.pop(key, None) for key in _HEAD}
    if head["interview"] != FORMAT or not isinstance(head["at"], str):
        return None
    reader = Reader(raw)
    shop = reader.design()
    if reader.found or shop is None or shop.runs:
        return None
    given, kinds = (list(map(str, head[key])) if isinstance(head[key], list) else [] for key in ("given", "kinds"))
    kinds = [*kinds, *[""] * len(shop.machines)][: len(shop.machines)]
    said = head["said"] if isinstance(head["said"], list) else []
    lines = tuple((pair[0], pair[1]) for pair in said if isinstance(pair, list) and len(pair) == 2 and pair[0] in LINES and isinstance(pair[1], str))
    folder = head["folder"] if isinstance(head["folder"], str) else ""
    shop = read_again(shop, Path(folder))
    return Answers(shop, tuple(kinds), lines, frozenset(given), head["alone"] is not False, head["at"], folder)

"""Which line of a TOML text a key stands on, and what else the standard parser does not tell."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

from engine.design.mistake import Path

# A TOML key has as many parts as this or fewer; the standard parser is slow with very many.
MOST_KEY_PARTS = 32

_TOKEN = re.compile(
    r'''"""(?:[^"\\]|\\.|"{1,2}(?!"))*+"{3,5}|\'\'\'(?:[^']|'{1,2}(?!'))*+'{3,5}'''  # strings of several lines
    r"""|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*'|\#[^\n]*|[\[\]{}=,\n]|[^\s\[\]{}=,#"']+|["']""",
    re.DOTALL,
)
_Token = tuple[str, int]


def _tokens(text: str) -> Iterator[_Token]:
    """Strings, comments, signs, line ends and bare words (with their dots), each with its line from 1."""
    line = 1
    for match in _TOKEN.finditer(text):
        token = match[0]
        if token in ('"', "'"):
            return  # a string without an end: no parser gets further
        yield token, line
        line += token.count("\n")


def has_comment(text: str) -> bool:
    """Whether there is a comment in a TOML text."""
    return any(token[0] == "#" for token, _ in _tokens(text))


def line_of_long_key(text: str) -> int | None:
    """The line of the first key of more than MOST_KEY_PARTS parts, or None."""
    if max(map(_dots, text.split("\n"))) < MOST_KEY_PARTS:
        return None
    dots = 0
    for token, line in _tokens(text):
        if token in "[]{}=,\n":
            dots = 0
        elif token[0] not in "\"'#":
            dots += _dots(token)
        if dots >= MOST_KEY_PARTS:
            return line
    return None


def _dots(text: str) -> int:
    return text.count(".")


def lines_of(text: str) -> dict[Path, int]:
    """Line, from 1, of every header, key and row of a valid TOML text, by its path: ("run", 0, "pieces", 2, "hose")."""
    walk = _Walk(text)
    walk.document()
    return walk.found


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """The line of a path, else of what it is part of."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


class _Walk:
    """Goes through the tokens of a text once; `found` gathers the lines."""

    def __init__(self, text: str) -> None:
        self.tokens = _tokens(text)
        self.found: dict[Path, int] = {}
        self.rows: dict[Path, int] = {}

    def document(self) -> None:
        """Headers and pairs; each line end closes what stands before it."""
        table: Path = ()
        key: list[str] = []
        for token, line in self.tokens:
            if token == "[" and not key:
                table = self._header(line)
            elif token == "=":
                self._pair(table, key, line)
                key = []
            elif token == "\n":
                key = []
            elif token[0] != "#":
                key.append(token)

    def _header(self, line: int) -> Path:
        names, is_row = [], False
        for token, _ in self.tokens:
            if token == "]":
                break
            is_row = is_row or token == "["
            names.append(token)
        path: Path = ()
        parts = _parts(token for token in names if token != "[")
        for i, name in enumerate(parts, 1):
            path = (*path, name)
            self.found.setdefault(path, line)
            if is_row and i == len(parts):
                self.rows[path] = self.rows.get(path, -1) + 1
            if path in self.rows:
                path = (*path, self.rows[path])
            self.found.setdefault(path, line)
        for token, _ in self.tokens:
            if token == "\n":
                break
        return path

    def _pair(self, table: Path, key: list[str], line: int) -> None:
        path = table
        for name in _parts(key):
            path = (*path, name)
            self.found.setdefault(path, line)
        token, _ = next(self.tokens, ("", 0))
        self._value(token, path)

    def _value(self, token: str, path: Path) -> None:
        if token == "[":
            self._array(path)
        elif token == "{":
            self._inline_table(path)

    def _array(self, path: Path) -> None:
        index = 0
        for token, line in self.tokens:
            if token == "]":
                return
            if token == ",":
                index += 1
            elif token != "\n" and token[0] != "#":
                here = (*path, index)
                self.found.setdefault(here, line)
                self._value(token, here)

    def _inline_table(self, path: Path) -> None:
        key: list[str] = []
        for token, line in self.tokens:
            if token == "}":
                return
            if token == "=":
                self._pair(path, key, line)
            if token in "=,":
                key = []
            elif token != "\n" and token[0] != "#":
                key.append(token)


def _parts(tokens: Iterator[str] | list[str]) -> list[str]:
    """The names of a key, quoted or not, between its dots."""
    parts: list[str] = []
    for token in tokens:
        if token[0] in "\"'":
            parts.append(tomllib.loads(f"key = {token}")["key"])
        else:
            parts.extend(name for name in token.split(".") if name)
    return parts

"""Which line of a TOML text a key stands on; the standard parser does not tell.

Knows the layout of design files: headers, keys at the start of a line, and
the rows of an array of inline tables. What it does not find has no line.
"""

from __future__ import annotations

import re

Path = tuple[str | int, ...]

_HEADER = re.compile(r"\s*\[(\[?)\s*([A-Za-z0-9_\-. ]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*([A-Za-z0-9_\-]+)\s*=")
_TOKEN = re.compile(r'"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}\n=,]|[A-Za-z0-9_\-]+', re.DOTALL)


def lines_of(text: str) -> dict[Path, int]:
    """Line, from 1, of every header, key and row found, by its path: ("run", 0, "pieces", 2, "hose")."""
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    prefix: Path = ()
    lines = text.splitlines()
    number = 0
    while number < len(lines):
        line = lines[number]
        if header := _HEADER.match(line):
            prefix = _opened(tuple(header[2].replace(" ", "").split(".")), bool(header[1]), counts)
            found.setdefault(prefix, number + 1)
        elif key := _KEY.match(line):
            here = (*prefix, key[1])
            found.setdefault(here, number + 1)
            number = _within(lines, number, key.end(), here, found)
        number += 1
    return found


def _opened(names: tuple[str, ...], is_row: bool, counts: dict[Path, int]) -> Path:
    """The path that a header opens: names below a list belong to its last row."""
    path: Path = ()
    for i, name in enumerate(names):
        path = (*path, name)
        if i == len(names) - 1 and is_row:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _within(lines: list[str], start: int, column: int, path: Path, found: dict[Path, int]) -> int:
    """Walk the value that begins at a column of a line; note its rows and keys; the line it ends on."""
    text = "\n".join([lines[start][column:], *lines[start + 1 :]])
    line, stack, last = start, [], ""
    at: Path = path
    for token in (match[0] for match in _TOKEN.finditer(text)):
        if token == "\n":
            if not stack:
                return line
            line += 1
            continue
        if token in "[{":
            if stack and stack[-1][0] == "[":
                stack[-1][1] += 1
                at = (*stack[-1][2], stack[-1][1])
                found.setdefault(at, line + 1)
            stack.append([token, -1, at])
        elif token in "]}":
            if not stack:
                return line
            at = stack.pop()[2]
        elif token == "=" and stack and stack[-1][0] == "{":
            at = (*stack[-1][2], last.strip("\"'"))
            found.setdefault(at, line + 1)
        else:
            line += token.count("\n")
            last = token
    return line


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """The line of a path, else of what it is part of."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None

"""Design files changed at random: no traceback, no hang, nothing in a message or a report that a terminal would obey.

    python -m tests.soak.mutate [N] [SECONDS]

N files (100 000), on two processors: each is read, and where it holds a design
every gate set is solved and reported. Stops early after SECONDS. Exit status 1
when one went wrong; its number says how to make it again: `one_file(number)`.
"""

from __future__ import annotations

import re
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from engine.checks.assess import assess
from engine.report import assessment as report
from tests import DEMO_FILES, SAVED_DESIGNS
from tests.shops.design_texts import WHOLE
from tests.shops.hostile_files import mutated, read
from tests.waiting import Hang, no_hang

LONGEST = 1.0  # seconds of processor time for one file
_SAVED = SAVED_DESIGNS
_STRETCH = 250
_AT_WORK = 2


def bases() -> list[bytes]:
    """The files that are changed."""
    return [WHOLE.encode(), *(path.read_bytes() for path in DEMO_FILES)]


def nudged(rng: Random, data: bytes) -> bytes:
    """One to three other numbers: most files still hold a design, if a strange one."""
    for _ in range(rng.randint(1, 3)):
        number = rng.choice(list(re.finditer(rb"(?<![\w.])[0-9]+(?:\.[0-9]+)?", data)))
        other = f"{float(number[0]) * rng.choice((0, 1e-3, 0.1, 0.9, 1.2, 3, 10, 1e3)):.6g}".encode()
        data = data[: number.start()] + other + data[number.end() :]
    return data


def one_file(number: int, path: Path) -> str:
    """Make the file of that number and see what comes of it: "refused", "reported", or what is wrong."""
    rng = Random(number)
    data = rng.choice((mutated, nudged))(rng, rng.choice(bases()))
    try:
        with no_hang(LONGEST):
            design = read(data, path)
            if design is None:
                return "refused"
            assessment = assess(design)
            lines = (report.as_text(assessment) + report.as_json(assessment)).split("\n")
            return "reported" if all(line.isprintable() for line in lines) else f"{number}: a control character in the report"
    except (Exception, Hang) as error:
        return f"{number}: {type(error).__name__}: {str(error)[:200]!r}"


def stretch(first: int, count: int) -> Counter[str]:
    """What came of the files of `count` numbers."""
    with TemporaryDirectory(prefix="mutate") as folder:
        return Counter(one_file(number, Path(folder) / "shop.toml") for number in range(first, first + count))


def main(files: int = 100_000, seconds: float = float("inf")) -> int:
    """Try so many files and print what came of them; the exit status."""
    began, found = time.monotonic(), Counter()
    with ProcessPoolExecutor(_AT_WORK) as workers:
        for first in range(0, files, _AT_WORK * _STRETCH):
            starts = range(first, min(first + _AT_WORK * _STRETCH, files), _STRETCH)
            for counted in workers.map(stretch, starts, [min(_STRETCH, files - start) for start in starts]):
                found += counted
            if time.monotonic() - began > seconds:
                break
    wrong = {what: count for what, count in found.items() if what not in ("refused", "reported")}
    print(f"files     {found.total()} in {time.monotonic() - began:.0f} s")
    print(f"refused   {found['refused']}")
    print(f"reported  {found['reported']}")
    print(f"wrong     {len(wrong)}")
    for what in list(wrong)[:20]:
        print(f"  {what}")
    return 1 if wrong else 0


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(*map(int, given[:1]), *map(float, given[1:2])))

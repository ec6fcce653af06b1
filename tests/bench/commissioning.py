"""A whole commissioning of the boat shed by keys, at 60 x 18 and 40 x 15: `python -m tests.bench.commissioning`.

The readings are those of a shop a little other than its design. Printed are
the readings, the keys each took, the verdicts, and the time from a key to its screen.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from engine.field.verdicts import verdicts
from tests import SAVED_DESIGNS
from tests.tui.pages.field.commissioning import take
from tests.tui.screen_text import session, shows, wait_until

_SIZES = ((60, 18), (40, 15))


async def _commissioned(size: tuple[int, int], folder: Path) -> str:
    app = session(folder, text=(SAVED_DESIGNS / "boat_shed.toml").read_text("utf-8"))
    async with app.run_test(size=size) as pilot:
        await pilot.press("X")
        await shows(pilot, "Set the gates")
        began = perf_counter()
        readings, keys = await take(pilot, app.document.design, len(app.document.gate_sets))
        taken = perf_counter() - began
        await pilot.press("b", "y")
        await wait_until(pilot, lambda: any(reading.baseline for reading in app.document.design.readings))
        design = app.document.design
        base = sum(bool(reading.baseline) for reading in design.readings)
        counts = Counter(found.verdict for found in verdicts(design, design.readings))
        told = ", ".join(f"{count} {verdict}" for verdict, count in counts.items())
        each = f"{keys / readings:.1f} keys each with those for the gates, {1000 * taken / keys:.0f} ms a key"
        return f"{size[0]} x {size[1]}: {readings} readings, {each}; {told}; baseline of {base}"


def main() -> None:
    """Print both."""
    for size in _SIZES:
        with TemporaryDirectory() as folder:
            print(asyncio.run(_commissioned(size, Path(folder))))


if __name__ == "__main__":
    main()

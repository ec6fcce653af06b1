"""Time that reading takes: of a design file, and of a field and back.

Run `python -m tests.bench.reading`; it takes about three seconds.
"""

from __future__ import annotations

from engine.files.design_file import load
from engine.units import parse, show
from tests import DEMO_FILES
from tests.bench.clock import milliseconds, seconds


def main() -> None:
    """Print the table."""
    for path in DEMO_FILES:
        print(f"{path.stem:24s} {milliseconds(seconds(lambda path=path: load(path)))} ms")
    print(f"{'a field read':24s} {1e3 * seconds(lambda: parse('12ft 6 1/2in', 'length')):.4f} ms")
    print(f"{'a field shown':24s} {1e3 * seconds(lambda: show(0.243, 'flow', 'metric')):.4f} ms")


if __name__ == "__main__":
    main()

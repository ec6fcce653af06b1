"""What a start costs: processor time of a whole `kerfdraft check`, beside bare Python and what others take to load.

Run `python -m tests.bench.start [FOLDER]`; it takes about half a minute. With
the folder of another copy of the code both are timed turn by turn, and the
ratio of this one to that one is printed. All of it is compiled before. The
start of the session is in `tests.bench.latency`.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from subprocess import DEVNULL, Popen
from tempfile import TemporaryDirectory

from tests import ROOT
from tests.bench.clock import milliseconds

DESIGN = "boat_shed.toml"
STARTS = {
    "bare Python": "pass",
    "Textual loaded": "import textual.app",
    "NumPy loaded": "import numpy",
    "kerfdraft check": f"from tui.command_line import main; main(['check', {DESIGN!r}])",
}


def measured(copies: Sequence[Path], turns: int) -> Iterator[tuple[str, list[float]]]:
    """What is started, and the least of so many seconds of processor time for each copy of the code."""
    with TemporaryDirectory(prefix="start") as folder:
        shutil.copy(copies[-1] / "saved_designs" / DESIGN, folder)  # as the oldest code writes it, which all read
        for what, code in STARTS.items():
            times = [[_processor(code, copy, Path(folder)) for copy in copies] for _ in range(turns + 1)]
            yield what, [min(each) for each in zip(*times[1:], strict=True)]


def _processor(code: str, copy: Path, folder: Path) -> float:
    own = {"PYTHONPATH": str(copy), "PYTHONPYCACHEPREFIX": str(folder / "compiled"), "XDG_CACHE_HOME": str(folder / copy.name)}
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | own
    process = Popen([sys.executable, "-c", code], cwd=folder, env=env, stdout=DEVNULL)
    used = os.wait4(process.pid, 0)[2]
    process.returncode = 0  # it has been waited for
    return used.ru_utime + used.ru_stime


def main() -> None:
    """Print the table."""
    copies = [ROOT, *(Path(named).resolve() for named in sys.argv[1:2])]
    for what, times in measured(copies, turns=15):
        ratio = f"   x {times[0] / times[1]:.2f}" if len(copies) > 1 else ""
        print(what.ljust(20), *(milliseconds(value).rjust(9) for value in times), f" ms{ratio}", flush=True)


if __name__ == "__main__":
    main()

"""What the first screen loads: what is slow to load, and not needed before there are results, comes after it."""

from __future__ import annotations

import subprocess
import sys


def test_the_first_screen_does_without_what_only_results_need():
    code = (
        "import sys, tui.run, tui.app, tui.pages.workbench\n"
        "sys.exit(', '.join({name.partition('.')[0] for name in sys.modules} & {'numpy', 'scipy', 'fluids', 'pint'}) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")

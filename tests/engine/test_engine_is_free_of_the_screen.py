"""The engine never reaches for the screen: each module is imported in a process of its own."""

from __future__ import annotations

import pkgutil
import subprocess
import sys

import pytest

import engine


def test_no_engine_module_imports_the_screen():
    names = sorted(module.name for module in pkgutil.walk_packages(engine.__path__, "engine."))
    assert "engine.checks.assess" in names
    code = (
        "import importlib, sys\n"
        f"for name in {names!r}:\n"
        "    importlib.import_module(name)\n"
        "    bad = {'textual', 'rich', 'tui'} & {m.split('.')[0] for m in sys.modules}\n"
        "    assert not bad, (name, bad)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("module, kept_out", [
    ("engine.units", ("engine.catalog", "engine.design", "engine.air", "numpy", "scipy", "fluids")),
    ("engine.catalog", ("engine.design", "engine.air", "numpy", "scipy", "fluids")),
    ("engine.design", ("engine.air", "engine.files", "numpy", "scipy", "fluids")),
    ("engine.checks", ("engine.air", "engine.space", "numpy", "scipy", "fluids")),
])  # fmt: skip
def test_what_is_light_loads_no_solver(module, kept_out):
    code = f"import sys, {module}\nassert not [m for m in sys.modules if m in {kept_out!r}], sorted(sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr

"""The command line in a real shell: streams that are closed or full, encodings that lack a sign, names that a terminal would obey."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests import SAVED_DESIGNS
from tests.shops.one_drop import TEXT
from tests.tui.terminal.pty_session import environment

HOSTILE = "a\x1b[31mb\u202e"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(SAVED_DESIGNS / "signal_box_mended.toml", tmp_path / "shop.toml")
    return tmp_path


def shell(folder: Path, line: str, **env: str) -> subprocess.CompletedProcess[bytes]:
    """A line of a shell, in which `kerfdraft` is the command; what pint said of units is kept from one test to the next."""
    script = f'kerfdraft() {{ {sys.executable} -m tui "$@"; }}\n{line}'
    env = environment(folder) | {"XDG_CACHE_HOME": str(folder.parent)} | env
    return subprocess.run(["sh", "-c", script], check=False, cwd=folder, env=env, capture_output=True)


@pytest.mark.parametrize(
    ("line", "status", "told"),
    [
        ("kerfdraft check shop.toml >&-", 74, "kerfdraft: the results cannot be printed: bad file descriptor"),
        ("kerfdraft check shop.toml >/dev/full", 74, "kerfdraft: the results cannot be printed: no space left on device"),
        ("kerfdraft check --help >/dev/full", 74, "kerfdraft: the results cannot be printed: no space left on device"),
        ("kerfdraft check shop.toml >/dev/full 2>&1", 74, None),
        ("kerfdraft check shop.toml >&- 2>&-", 74, None),
        ("kerfdraft check none.toml 2>/dev/full", 2, None),
        ("kerfdraft check none.toml 2>&-", 2, None),
        ("kerfdraft check shop.toml --take 2>&-", 2, None),
        ("kerfdraft 2>&- <&-", 2, None),
    ],
)
def test_a_stream_that_is_closed_or_full_is_told_in_one_line_where_there_is_somewhere_to_say_it(folder, line, status, told):
    done = shell(folder, line)
    assert done.returncode == status and done.stdout == b""
    assert done.stderr.decode() == (f"{told}\n" if told else "")


def test_a_closed_stream_gives_its_number_to_no_file(folder):
    done = shell(folder, "kerfdraft throttle shop.toml --write out.toml >&- 2>&- <&-")
    assert done.returncode == 74
    assert not (folder / "out.toml").exists() or b"kerfdraft" not in (folder / "out.toml").read_bytes()


@pytest.mark.parametrize("env", [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}])
def test_what_an_encoding_lacks_is_replaced(folder, env):
    (folder / "shop.toml").write_text(TEXT.replace('name = "small shop"', 'name = "Große 漢字"'), encoding="utf-8")
    done = shell(folder, "kerfdraft check shop.toml; kerfdraft check 漢字.toml", **env)
    assert done.stdout.startswith(b"Gro") and b"?" in done.stdout.splitlines()[0]
    assert done.stderr.count(b"\n") == 1 and b"no such file" in done.stderr


@pytest.mark.parametrize(
    "line",
    [
        'kerfdraft check "$N"', 'kerfdraft "$N" x', 'kerfdraft check shop.toml "$N"', 'kerfdraft throttle shop.toml "$N"', 'kerfdraft "--$N"',
        'kerfdraft size shop.toml --chart "$N"', 'kerfdraft size shop.toml --without "$N"', 'kerfdraft throttle shop.toml --write "/$N/x"',
        'kerfdraft placement shop.toml --spacing "$N"', 'kerfdraft "$N"', 'mkdir "$N"; kerfdraft check "$N"',
    ],
)  # fmt: skip
def test_no_argument_reaches_the_terminal_as_it_is(folder, line):
    done = shell(folder, line, N=HOSTILE)
    assert done.returncode == 2 and done.stdout == b""
    told = done.stderr.decode()
    assert told.startswith("kerfdraft: ") and told.count("\n") == 1 and told.rstrip("\n").isprintable()


def test_bytes_that_are_no_text_are_told_as_signs(folder):
    done = shell(folder, "kerfdraft check \"$(printf 'a\\377b')\"")
    assert done.returncode == 2 and done.stderr.startswith(b"kerfdraft: a?b: no such file")


def test_what_was_written_is_told_without_control_characters(folder):
    done = shell(folder, 'kerfdraft draft shop.toml --write "$N.toml"', N=HOSTILE)
    assert done.returncode == 0 and (folder / f"{HOSTILE}.toml").exists()
    assert b"written to a?[31mb?.toml: " in done.stdout and b"\x1b" not in done.stdout


@pytest.mark.parametrize(
    ("out", "why"),
    [
        ("none/x.toml", "there is no folder none"),
        ("~nobody-of-that-name/x.toml", "there is no folder ~nobody-of-that-name"),
        ("x" * 300, "file name too long"),
        ("dangling", "there is such a file already"),
        ("pipe", "there is such a file already"),
        ("/proc/x.toml", "no file can be made in /proc"),
    ],
)
def test_an_output_file_that_cannot_be_had_is_told_before_the_search(folder, out, why, monkeypatch, capsys):
    from tui.command_line import command, main

    def searched(*_: object) -> None:
        raise AssertionError("the design was read")

    (folder / "dangling").symlink_to(folder / "elsewhere")
    os.mkfifo(folder / "pipe")
    monkeypatch.chdir(folder)
    monkeypatch.setattr(command, "loaded", searched)
    assert main(["size", "shop.toml", "--write", out]) == 2
    told = capsys.readouterr().err
    assert why in told and told.count("\n") == 1 and not (folder / "elsewhere").exists()

"""The line that fetches a file to where the user sits."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from tui.terminal.over_ssh import copy_line


@pytest.mark.parametrize(
    ("connection", "host", "options"),
    [
        ("192.0.2.7 50514 192.0.2.1 22", "192.0.2.1", []),
        ("192.0.2.7 50514 192.0.2.1 2222", "192.0.2.1", ["-P", "2222"]),
        ("2001:db8::7 50514 2001:db8::1 22", "[2001:db8::1]", []),
    ],
)
@pytest.mark.parametrize("path", ["/srv/shop.html", "/srv/a shop's $HOME;x.html"])
def test_a_shell_takes_it_for_one_file(connection, host, options, path):
    line = copy_line(Path(path), {"SSH_CONNECTION": connection})
    command, *rest, source, here = shlex.split(line)
    assert (command, rest, here) == ("scp", options, ".")
    assert source.partition("@")[2] == f"{host}:{path}"


@pytest.mark.parametrize("environ", [{}, {"SSH_CONNECTION": ""}, {"SSH_CONNECTION": "odd"}])
def test_without_ssh_there_is_nothing_to_fetch(environ):
    assert copy_line(Path("/srv/shop.html"), environ) is None

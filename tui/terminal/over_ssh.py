"""How a file gets to the machine that the user sits at."""

from __future__ import annotations

import os
import pwd
import shlex
from collections.abc import Mapping
from pathlib import Path

_USUAL_PORT = "22"


def copy_line(path: Path, environ: Mapping[str, str]) -> str | None:
    """The line that fetches a file, to be given where the user sits; None where the session is not over SSH.

    The host is the address by which this machine was reached, as the server
    of SSH tells it in SSH_CONNECTION: behind a gateway it may go by another name.
    """
    told = environ.get("SSH_CONNECTION", "").split()
    if len(told) != 4:  # address and port of either end, by ssh(1)
        return None
    host, port = told[2], told[3]
    at = f"[{host}]" if ":" in host else host
    options = "" if port == _USUAL_PORT else f"-P {shlex.quote(port)} "
    return f"scp {options}{shlex.quote(f'{_user(environ)}@{at}:{path}')} ."


def _user(environ: Mapping[str, str]) -> str:
    try:
        return pwd.getpwuid(os.getuid()).pw_name
    except KeyError:  # a user whom no list of this machine names
        return environ.get("USER") or str(os.getuid())


def where_it_lies(path: Path, environ: Mapping[str, str]) -> list[str]:
    """Lines that say where a file lies and, over SSH, how to fetch it."""
    lines = [str(path)]
    if line := copy_line(path, environ):
        lines += ["", "On the machine you sit at (there this host may go by another name):", f"  {line}"]
    return lines

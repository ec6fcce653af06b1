"""What a new user is told: the keys to begin with in the first few sessions, the cautions once. Nothing depends on it."""

from __future__ import annotations

import os
from contextlib import suppress

from engine.files.safe_files import close
from tui.keep import locked_files

FEW = 3
HINT = "start: A the way through the job, Enter edits, ? all keys"
CAUTIONS_AGAIN = "shown whole this once: H shows it again, Esc goes on"
_FILE, _READ = "sessions", "cautions"
_MOST_BYTES = 20


def greeting() -> str:
    """The line, in the first few sessions of a user; "" after those, and where they cannot be counted."""
    with suppress(OSError, ValueError):
        file = locked_files.state_folder() / _FILE
        before = int(locked_files.own_text(file)[:_MOST_BYTES]) if os.path.lexists(file) else 0
        if 0 <= before < FEW:
            file.parent.mkdir(parents=True, exist_ok=True)
            close(locked_files.replaced(file, f"{before + 1}\n", None, lasting=False))
            return HINT
    return ""


def cautions_due() -> bool:
    """Whether the cautions are to be shown unasked: once for a user, and never where that cannot be kept."""
    with suppress(OSError, ValueError):
        file = locked_files.state_folder() / _READ
        if not os.path.lexists(file):
            file.parent.mkdir(parents=True, exist_ok=True)
            close(locked_files.replaced(file, "shown\n", None, lasting=False))
            return True
    return False

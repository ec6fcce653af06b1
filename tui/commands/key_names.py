"""Keys as they are written on the key line and in help."""

from __future__ import annotations

import re

from textual.keys import format_key

_KEY_NAMES = {
    "enter": "Enter", "escape": "Esc", "delete": "Del", "tab": "Tab", "space": "Space", "backspace": "Backspace",
    "up": "Up", "down": "Down", "left": "Left", "right": "Right", "pageup": "PgUp", "pagedown": "PgDn",
    "home": "Home", "end": "End",
}  # fmt: skip


def key_name(key: str) -> str:
    """A key as it is written on the key line and in help."""
    for prefix, shown in (("ctrl+", "^"), ("shift+", "Shift-")):
        if key.startswith(prefix):
            return shown + key_name(key[len(prefix) :])
    if key in _KEY_NAMES:
        return _KEY_NAMES[key]
    return key.upper() if re.fullmatch("f[0-9]+", key) else format_key(key)

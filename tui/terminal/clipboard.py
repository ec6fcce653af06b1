"""Text to the clipboard of the terminal by OSC 52, the control sequence of xterm for it; nothing else is asked for.

It reaches the clipboard where the user sits, over SSH too. A terminal may
refuse it, and none says whether it did. Under a multiplexer it is also sent
wrapped, to be passed on to the terminal outside.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping

MOST_BYTES = 50_000  # of text; many terminals take no more than about 75 000 of the sequence
_SCREEN_CHUNK = 700  # GNU screen takes strings of at most 768 bytes


def sequence(text: str, environ: Mapping[str, str]) -> str:
    """What to write to the terminal so that its clipboard holds `text`. Raises ValueError for more than MOST_BYTES."""
    data = text.encode("utf-8", "replace")
    if len(data) > MOST_BYTES:
        raise ValueError(f"{len(data)} bytes, more than the {MOST_BYTES} that can be copied")
    plain = f"\x1b]52;c;{b64encode(data).decode('ascii')}\x07"
    if environ.get("TMUX"):  # which takes one or the other, by its options set-clipboard and allow-passthrough
        return plain + "\x1bPtmux;" + plain.replace("\x1b", "\x1b\x1b") + "\x1b\\"
    if environ.get("STY"):
        chunks = (plain[at : at + _SCREEN_CHUNK] for at in range(0, len(plain), _SCREEN_CHUNK))
        return "".join(f"\x1bP{chunk}\x1b\\" for chunk in chunks)
    return plain


def tabbed(rows: list[tuple[str, ...]]) -> str:
    """Rows as tab-separated text, a line each."""
    return "\n".join("\t".join(" ".join(cell.split()) for cell in row) for row in rows)

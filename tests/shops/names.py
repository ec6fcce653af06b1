"""Names that somebody may give, however strange, and letters that no name may hold."""

STRANGE = (
    "e\u0301tabli", "שולחן", "مصنع", "漢字", "x" * 80, 'a "b"', "it's", "\\", "[red]", "[b]saw[/b]", "[/x]", "{0}", "~", "#", "$HOME", "a/b",
    "कार्य\u200dशाला", "two\u3000words", " blanks around ",
)  # fmt: skip
"""Each is kept as it stands, or without the blanks around it."""
UNFIT = ("\x00", "\x07", "\t", "\n", "\x1b", "\x7f", "\x85", "\u00ad", "\u200b", "\u2028", "\u202e", "\u2066", "\ufeff", "\ud800")


def code(text: str) -> str:
    """A letter, or a text, as the name of a test."""
    return f"U+{ord(text):04X}" if len(text) == 1 else ascii(text[:12])

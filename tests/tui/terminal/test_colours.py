"""What is sent in each mode of colours and on each kind of terminal: no colour where none is wanted, no glyph a console lacks."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.tui.terminal.demo import open_demo
from tests.tui.terminal.pty_session import PtySession

_SGR = re.compile(rb"\x1b\[([0-9;:]*)m")
_SIXTEEN = {*range(30, 38), *range(40, 48), *range(90, 98), *range(100, 108)}
_DEFAULT = {39, 49}
# What the kernel's console has glyphs for, besides ASCII, in its usual map.
CONSOLE = set("─│┌┐└┘├┤┬┴┼═║╔╗╚╝╠╣╦╩╬█▀▄▌▐░▒▓▲▼►◄■○•·°±≤≥≈×²½↑↓←→»«¼")


def codes(session: PtySession) -> Iterator[tuple[int, int]]:
    """(code, following code or -1) of every attribute sent; the arguments of 38 and 48 are passed over."""
    for match in _SGR.finditer(bytes(session.raw)):
        parts = [int(part or 0) for part in re.split(b"[;:]", match[1])]
        while parts:
            code, *parts = parts
            yield code, parts[0] if parts else -1
            if code in (38, 48):
                parts = parts[2:] if parts[0] == 5 else parts[4:]


def looked_around(session: PtySession) -> set[tuple[int, int]]:
    """The codes sent for the main screen, a form, an edit, a question and each tab."""
    session.send("j", "2", "e", "esc", "esc", "t", "t", "t", "x", "u", "?")
    session.wait_for(lambda text: "1 ducts" not in text)
    session.send("esc")
    session.wait_for("1 ducts")
    return set(codes(session))


@pytest.mark.parametrize(
    ("options", "env"),
    [(("--colors", "none"), {"COLORTERM": "truecolor"}), ((), {"NO_COLOR": "1"}), ((), {"NO_COLOR": "1", "TERM": "linux"})],
    ids=str,
)
def test_where_no_colour_is_wanted_none_is_sent_and_focus_and_selection_still_show(home, options, env):
    with open_demo(home, *options, env=env) as session:
        session.settle(0.1)
        screen = session.screen.buffer
        assert "╔ 1 ducts" in session.text
        assert all(screen[5][x].reverse for x in range(2, 30)) and "main" in session.row(5)
        sent = {code for code, _ in looked_around(session)}
        assert not sent & (_SIXTEEN | {38, 48}) and 7 in sent


@pytest.mark.parametrize(
    ("options", "env"), [(("--colors", "16"), {"COLORTERM": "truecolor"}), ((), {"TERM": "xterm"}), ((), {"TERM": "linux"})], ids=str
)
def test_with_sixteen_colours_no_other_is_sent(home, options, env):
    with open_demo(home, *options, env=env) as session:
        sent = {code for code, _ in looked_around(session)}
        assert not sent & {38, 48} and sent & _SIXTEEN
        assert sent <= _SIXTEEN | _DEFAULT | set(range(30))


@pytest.mark.parametrize(("colors", "kind"), [("256", 5), ("truecolor", 2)])
def test_more_colours_are_sent_where_they_are_asked_for(home, colors, kind):
    with open_demo(home, "--colors", colors, env={"TERM": "xterm"}) as session:
        assert {following for code, following in looked_around(session) if code in (38, 48)} == {kind}


def letters(session: PtySession) -> set[str]:
    """Every letter that was sent."""
    text = bytes(session.raw).decode("utf-8")
    return {letter for letter in text if letter.isprintable()}


@pytest.mark.parametrize(("options", "env"), [((), {"TERM": "linux"}), (("--glyphs", "ascii"), {})], ids=str)
def test_no_glyph_is_sent_that_the_terminal_may_lack(home, options, env):
    with open_demo(home, *options, env=env) as session:
        looked_around(session)
        session.send("M")
        session.wait_for("machines at work together")
        session.send("esc")
        session.settle(0.05)
        sent = {letter for letter in letters(session) if not letter.isascii()}
        assert sent <= (set() if "ascii" in options else CONSOLE)
        assert bool(sent) != ("ascii" in options)

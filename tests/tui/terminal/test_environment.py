"""What is made of the terminal's environment before the session is drawn."""

from __future__ import annotations

import pytest

from tui.terminal.look import Look, is_remote, prepare


@pytest.mark.parametrize(
    ("environ", "remote"),
    [
        ({"TERM": "xterm-256color"}, False), ({"TERM": "xterm", "SSH_CONNECTION": "1 2 3 4"}, True), ({"TERM": "xterm", "TMUX": "/tmp/x"}, True),
        ({"TERM": "linux"}, True), ({"TERM": "screen-256color"}, True), ({"TERM": "tmux-256color"}, True), ({}, False),
    ],
)  # fmt: skip
def test_where_bytes_are_dear_the_mouse_is_off_unless_asked_for(environ, remote):
    assert is_remote(environ) is remote
    assert prepare(dict(environ), Look()) is not remote
    assert prepare(dict(environ), Look(mouse=True)) is True and prepare(dict(environ), Look(mouse=False)) is False
    made = dict(environ)
    prepare(made, Look())
    assert ("TEXTUAL_DISABLE_KITTY_KEY" in made) is remote and made.get("ESCDELAY") == ("250" if remote else None)


def test_nothing_moves_by_itself_and_a_users_delay_is_kept():
    made = {"TERM": "tmux", "ESCDELAY": "40"}
    prepare(made, Look())
    assert made["TEXTUAL_ANIMATIONS"] == "none" and made["TEXTUAL_SMOOTH_SCROLL"] == "0" and made["ESCDELAY"] == "40"


@pytest.mark.parametrize(("colors", "no_color"), [("auto", "1"), ("none", "1"), ("16", None), ("256", None), ("truecolor", None)])
def test_colours_asked_for_are_had_even_where_the_environment_wants_none(colors, no_color):
    made = {"NO_COLOR": "1"}
    prepare(made, Look(colors=colors))
    assert made.get("NO_COLOR") == no_color

"""On a running session: a filter never hides what keys act on, rows are copied, questions and lists behave."""

from __future__ import annotations

from base64 import b64decode

import pytest

from engine.design import Straight
from engine.design.places import MACHINES, PieceAt, RunAt
from tests.shops import two_drops
from tests.tui.screen_text import screen_rows, screen_text, session, shows, wait_until
from tui.commands import edit
from tui.panes.tree.rows import shows as has_row

USUAL = (80, 24)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.delenv("TMUX", raising=False)


async def filtered(pilot, text: str) -> None:
    """Filter the tree by a text."""
    await pilot.press("slash")
    await shows(pilot, "filter:")
    pilot.app.screen.query_one("TextAnswer").value = text
    await pilot.press("enter")
    await shows(pilot, f"/{text}/")


# The filter


async def test_what_is_selected_once_a_filter_is_taken_can_be_seen(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(PieceAt(1, 2))
        await filtered(pilot, "lathe gate")
        assert has_row(app.screen.ducts._rows, app.document.selection)


async def test_deleting_under_a_filter_goes_on_among_what_can_be_seen(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        before = app.document.design
        await filtered(pilot, "straight")
        for place in (PieceAt(0, 0), PieceAt(1, 1)):
            app.document.select(place)
            await pilot.press("x")
            assert has_row(app.screen.ducts._rows, app.document.selection) and "/straight/" in screen_text(app)
        left = [piece for run in app.document.design.runs for piece in run.pieces]
        assert len(left) == sum(len(run.pieces) for run in before.runs) - 2
        assert sum(isinstance(piece, Straight) for piece in left) == 2


async def test_holding_delete_under_a_filter_deletes_nothing_that_is_hidden(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await filtered(pilot, "straight")
        app.document.select(PieceAt(1, 1))
        hidden = [piece for piece in app.document.design.runs[1].pieces if not isinstance(piece, Straight)]
        for _ in range(2):
            app.screen.ducts.post_message(edit.Delete())
        await pilot.pause()
        assert [piece for piece in app.document.design.runs[1].pieces if not isinstance(piece, Straight)] == hidden


async def test_the_last_row_of_a_filter_deleted_takes_the_filter_off(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await filtered(pilot, "magnet")
        app.document.select(PieceAt(2, 1))
        await pilot.press("x")
        await wait_until(pilot, lambda: "/magnet/" not in screen_text(app))
        assert has_row(app.screen.ducts._rows, app.document.selection)


async def test_where_something_hidden_is_gone_to_the_filter_opens(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await filtered(pilot, "lathe gate")
        app.document.select(PieceAt(0, 1))
        await wait_until(pilot, lambda: "/lathe gate/" not in screen_text(app) and "2 elbow of main" in screen_text(app))
        await filtered(pilot, "lathe gate")
        app.document.select(PieceAt(3, 0))
        await pilot.press("d")
        await wait_until(pilot, lambda: has_row(app.screen.ducts._rows, app.document.selection))


async def test_leaving_the_prompt_takes_the_filter_off_at_once(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await filtered(pilot, "gate")
        await pilot.press("slash")
        await shows(pilot, "filter:")
        app.screen.query_one("TextAnswer").value = "magnet"
        await shows(pilot, "/magnet/")
        await pilot.press("escape")
        await shows(pilot, "1 ducts ═")


# Copying


async def test_each_pane_copies_its_row_and_its_table(tmp_path, monkeypatch):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        written: list[str] = []
        monkeypatch.setattr(app._driver, "write", written.append)

        async def copied(*keys: str) -> str:
            written.clear()
            await pilot.press(*keys)
            (sequence,) = [text for text in written if text.startswith("\x1b]52;c;")]
            return b64decode(sequence[7:-1]).decode()

        app.document.select(RunAt(0))
        await shows(pilot, "2 main")
        assert (await copied("c")).startswith("main\t160 mm\t")
        await shows(pilot, "copied: main 160 mm ")
        assert len((await copied("C")).splitlines()) == len(app.screen.ducts._rows)
        app.document.select(PieceAt(0, 0))
        await shows(pilot, "2 straight of main")
        assert await copied("2", "c") == "1.2 m"
        await shows(pilot, "copied: 1.2 m")
        assert await copied("C") == "straight\t1.2 m\nstate\t"
        assert (await copied("escape", "3", "c")).startswith("speed ")
        assert (await copied("C")).splitlines()[0].startswith("main in planer alone")
        assert (await copied("right", "c")).startswith("planer alone\t")
        assert [line.partition("\t")[0] for line in (await copied("C")).splitlines()] == ["gate set", "planer alone", "both"]
        parts = (await copied("right", "C")).splitlines()
        assert await copied("c") == parts[1]
        assert await copied("j", "j", "c") == parts[2]
        assert (await copied("right", "c")).startswith("meet at\t")


async def test_where_there_is_nothing_to_copy_it_says_so(tmp_path, monkeypatch):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(MACHINES)
        await shows(pilot, "2 machines")
        written: list[str] = []
        monkeypatch.setattr(app._driver, "write", written.append)
        await pilot.press("2", "c")
        await shows(pilot, "nothing to copy here")
        assert not [text for text in written if "\x1b]52" in text]


# Rows that tell


async def test_switching_units_says_that_it_is_a_change_of_the_file(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        await pilot.press("m")
        await shows(pilot, "imperial units, kept in the file; u takes it back")
        await shows(pilot, "not saved")


async def test_a_list_of_the_catalog_tells_the_source_of_its_row_and_skips_its_headings(tmp_path):
    app = session(tmp_path)
    async with app.run_test(size=USUAL) as pilot:
        app.document.select(MACHINES)
        await pilot.press("a")
        await wait_until(pilot, lambda: app.screen.asking)
        await pilot.press("k")
        await shows(pilot, "TRGS 553")
        rows = screen_rows(app)
        assert rows[2].strip() == "metric" and "820 m3/h" in rows[3]
        app.screen.query_one("Typed").value = "drill"
        await wait_until(pilot, lambda: "no authoritative figure found" in " ".join(screen_text(app).split()))
        assert screen_rows(app)[2].strip() == "metric" and "drill press" in screen_rows(app)[3]
        app.screen.query_one("Typed").value = "no such thing"
        await wait_until(pilot, lambda: "drill press" not in screen_text(app) and "authoritative" not in screen_text(app))
        await pilot.press("enter", "escape")
        await shows(pilot, "1 ducts")


@pytest.mark.parametrize("key", ["question_mark", "H", "M"])
async def test_every_page_says_that_escape_goes_back(tmp_path, key):
    app = session(tmp_path, text=two_drops.TEXT)
    async with app.run_test(size=USUAL) as pilot:
        await shows(pilot, "q quit")
        await pilot.press(key)
        await wait_until(pilot, lambda: "Esc back" in screen_rows(app)[-1])


async def test_each_question_shows_its_own_words(tmp_path):
    """As wide as the one before it, and asked while the row was away."""
    app = session(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shows(pilot, "q quit")
        for _ in range(2):
            await pilot.press("slash", *"drop", "enter")
            await shows(pilot, "q quit")
            await pilot.press("escape", "W")
            await shows(pilot, " save as ")
            assert "filter:" not in screen_text(app)
            await pilot.press("escape")
            await shows(pilot, "q quit")

"""As many runs as a design may hold, one behind the other: nothing in the session nests calls as deep as ducts go."""

from __future__ import annotations

from engine.design.rules.consistency import MOST_RUNS
from engine.files.design_file import loads
from tests.shops.one_drop import TEXT
from tests.tui.terminal.pty_session import PtySession
from tui.panes.tree.nodes import tree
from tui.panes.tree.rows import column_widths, count, rows, way_to, worst_mark


def chain() -> str:
    """The small shop with the most runs there may be between collector and saw."""
    head, _ = TEXT.split("[[run]]", 1)
    last = MOST_RUNS - 1
    runs = (
        f'[[run]]\nid = "r{i}"\njoins = "{f"r{i - 1}" if i else "collector"}"\nsize = "pipe/150"\npieces = [{{ straight = "0.1 m" }}]\n'
        + ('as = "straight"\n' if i else "")
        + ('ends = "saw/hood"\n' if i == last else "")
        for i in range(MOST_RUNS)
    )
    return head + "\n".join(runs)


def test_the_tree_holds_it_and_finds_its_end():
    design = loads(chain())
    nodes = tree(design, None, 0)
    last = f"r{MOST_RUNS - 1}"
    way = way_to(nodes, next(row.node.place for row in rows(nodes) if row.node.label == last))
    assert len(way) == MOST_RUNS + 1 and way[-1].label == last
    assert [row.node.label for row in rows(nodes, wanted=last)][: len(way)] == [node.label for node in way]
    assert count(nodes) > 2 * MOST_RUNS and column_widths(nodes) == (3, 4) and worst_mark(nodes[0]) == ""


def test_a_session_opens_on_it(home):
    (home / "chain.toml").write_text(chain())
    with PtySession("chain.toml", home=home, size=(100, 30)) as session:
        session.wait_for(lambda text: " 2 cautions" in text and "q quit" in text)
        session.send("G")
        session.wait_for("design: small shop")
        session.send("q")
        assert session.wait_exit() == 0

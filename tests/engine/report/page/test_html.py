"""The page is HTML5 by a strict parser (html5lib, after the WHATWG standard), loads nothing, and no name gets out of its place."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import fromstring

import html5lib

from engine.files.design_file import load, loads
from engine.report.page.contents.told import head
from engine.report.page.forms import written
from engine.report.page.html import as_html
from engine.report.page.job import Job
from engine.report.page.sheets import NAMES, SHEETS, picked
from tests import SAVED_DESIGNS
from tests.shops import one_drop
from tests.shops.parts_shop import canoe_loft

HOSTILE = """</title></svg><script>alert("1")</script><img src=x onerror='y'>&amp;{{7*7}}]]>"""


def parsed(text: str) -> html5lib.treebuilders.etree.Element:
    """The page as the strict parser reads it: any error of HTML5 raises."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)


def named(design, name: str):
    """A design that calls itself, a machine with its port and its gate sets, and its collector by a name."""
    machine = design.machines[0]
    swap = {machine.id: name}
    ends = {f"{machine.id}/{port.id}": f"{name}/{port.id}" for port in machine.ports}
    return replace(
        design, name=name, notes=name, collector=replace(design.collector, name=name), machines=(replace(machine, id=name), *design.machines[1:]),
        runs=tuple(replace(run, ends=ends.get(run.ends, run.ends)) for run in design.runs),
        gate_sets=tuple(replace(one, name=f"{one.name} {name}", open=tuple(swap.get(each, each) for each in one.open)) for one in design.gate_sets),
    )  # fmt: skip


def test_the_demos_make_valid_pages_with_every_sheet(demo):
    job, sheets = demo
    page = parsed(as_html(job.design.name, tuple(head(job)), sheets))
    assert [one.get("id") for one in page.iter("section") if one.get("id")] == list(NAMES)


def test_hostile_names_stay_text():
    text = written(Job(named(canoe_loft(), HOSTILE), HOSTILE), SHEETS)
    page = parsed(text)
    assert not [*page.iter("script")] and not [*page.iter("img")] and not any(key.startswith("on") for one in page.iter() for key, _ in one.items())
    assert page.find("head/title").text == HOSTILE and page.find("body/header/h1").text == HOSTILE
    assert any(HOSTILE in "".join(one.itertext()) for one in page.iter("{http://www.w3.org/2000/svg}svg"))


def test_nothing_is_loaded_from_anywhere():
    page = parsed(written(Job(canoe_loft()), SHEETS))
    tags = {one.tag.rpartition("}")[2] for one in page.iter() if isinstance(one.tag, str)}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "use", "image", "base", "audio", "video"}
    links = [value for one in page.iter() for key, value in one.items() if key in ("href", "src", "style", "background", "action")]
    assert links and all(link.startswith("#") for link in links)
    style = page.find("head/style").text
    assert "url(" not in style and "@import" not in style


def test_drawings_are_well_formed_and_name_every_run_and_machine():
    design = canoe_loft()
    plan = parsed(written(Job(design), picked("plan")))
    drawings = [*plan.iter("{http://www.w3.org/2000/svg}svg")]
    assert len(drawings) == 2
    for drawing in drawings:
        told = {"".join(one.itertext()) for one in drawing.iter("{http://www.w3.org/2000/svg}text")}
        assert {run.id for run in design.runs} | {machine.id for machine in design.machines} <= told


def test_a_design_without_ducts_says_so_and_makes_a_valid_page():
    design = loads(one_drop.TEXT)
    bare = replace(design, runs=(), machines=(), gate_sets=())
    page = parsed(written(Job(bare), SHEETS))
    assert "no ducts yet" in "".join(page.find("body/header").itertext())


def test_faults_stand_at_the_top_before_anything_else():
    page = parsed(written(Job(load(SAVED_DESIGNS / "signal_box.toml")), picked("gates")))
    warnings = [one for one in page.find("body/header") if one.get("class") == "warning"]
    assert warnings[0].text.startswith("This design has ") and "Do not build it" in warnings[0].text
    assert "no sign-off" in warnings[1].text


def test_svg_text_is_escaped_by_itself():
    from engine.report.page import svg

    element = fromstring(svg.drawing(10.0, 10.0, HOSTILE, svg.words(HOSTILE, (1.0, 2.0), class_=HOSTILE)))
    assert element.find("title").text == HOSTILE and element.find("text").get("class") == HOSTILE

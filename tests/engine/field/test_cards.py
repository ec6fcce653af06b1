"""Cards: what is written in them is read, and what they lack is told in one line."""

from __future__ import annotations

import pytest

from engine.design import Site
from engine.field.cards import CardError, answer, card_named, given
from engine.field.deck import DECK
from engine.units import parse

FILLED = {
    "duct": {"flow": "1500 cfm", "bore": "8 in"},
    "pitot": {"bore": "6 in", "readings": "0.9; 1; 1.1; 1.1; 1; 0.9 inH2O"},
    "hood": {"suction": "0.8 inH2O", "bore": "4 in"},
    "vane": {"readings": "5 m/s; 6 m/s", "opening": "0.1 m2", "factor": "0.9"},
    "fitting": {"loss": "0.3", "bore": "5 in", "flow": "400 cfm"},
    "bore": {"flow": "400 cfm", "bore": "100 mm", "other": "125 mm"},
    "leak": {"bore": "150 mm", "length": "20 m", "suction": "1500 Pa"},
    "gauge": {"column": "10 mm"},
}


def figures(name: str, **texts: str) -> dict[str, float]:
    return {figure.name: figure.value for figure in answer(card_named(DECK, name), texts, Site()).figures}


@pytest.mark.parametrize("card", DECK, ids=lambda card: card.name)
def test_every_card_has_an_answer(card):
    found = answer(card, FILLED[card.name], Site())
    assert found.figures and all(figure.value > 0 for figure in found.figures)


def test_the_sheet_of_one_branch():
    """Ventilation course: 1500 cfm in 8 in are 4297 ft/min, to 0.2 %; and back, by the air's speed."""
    speed = figures("duct", flow="1500 cfm", bore="8 in")["speed"]
    assert speed == pytest.approx(parse("4297 fpm", "speed").si, rel=0.002)
    assert figures("duct", speed="4297 fpm", bore="8 in")["flow"] == pytest.approx(parse("1500 cfm", "flow").si, rel=0.002)
    assert figures("duct", speed="4297 fpm", flow="1500 cfm")["bore"] == pytest.approx(parse("8 in", "bore").si, rel=0.002)


def test_the_air_of_the_shop_counts():
    """At 1500 m air is about 83 % as dense (US Standard Atmosphere: 84 560 Pa): the same reading is a speed 1 / sqrt(0.8346) times as high."""
    low, high = (figures("duct", pressure="200 Pa", altitude=altitude)["speed"] for altitude in ("0 m", "1500 m"))
    assert high / low == pytest.approx((101325 / 84560) ** 0.5, rel=0.002)


def test_a_stage_may_leak_by_its_class():
    """EN 12237, k 0.027, 0.009, 0.003: 20 m of 150 mm under 1500 Pa leak 30, 10 and 3 L/s (computed by hand)."""
    found = figures("leak", **FILLED["leak"])
    assert [1000 * found[f"class {tightness}"] for tightness in "ABC"] == pytest.approx([30, 10, 3], abs=0.5)
    for flow, told in (("2 L/s", "class C"), ("9 L/s", "class B"), ("40 L/s", "more than class A")):
        assert any(told in remark for remark in answer(card_named(DECK, "leak"), FILLED["leak"] | {"flow": flow}, Site()).remarks)


def test_a_traverse_says_what_to_doubt():
    one_way = answer(card_named(DECK, "pitot"), FILLED["pitot"] | {"again": "1.2 inH2O"}, Site())
    assert any("more than 10 %" in remark for remark in one_way.remarks) and any("one way across" in remark for remark in one_way.remarks)
    both = FILLED["pitot"]["readings"].replace(" inH2O", "; ") + FILLED["pitot"]["readings"]
    assert not any("one way" in remark for remark in answer(card_named(DECK, "pitot"), FILLED["pitot"] | {"readings": both}, Site()).remarks)


def test_a_traverse_says_how_deep():
    card = card_named(DECK, "pitot")
    known = given(card, {"bore": "100 mm"}, Site()).values
    places = [card.place(known, "readings", index) for index in (0, 5, 6)]
    assert places == [pytest.approx(place) for place in ((0.0032, 1, 1), (0.0968, 1, 6), (0.0032, 2, 1))]


def test_a_bare_number_is_in_the_units_of_the_session():
    card = card_named(DECK, "duct")
    assert given(card, {"flow": "400"}, Site(), "imperial").one("flow") == pytest.approx(parse("400 cfm", "flow").si)


@pytest.mark.parametrize(
    "name, texts, why",
    [
        ("duct", {}, "speed or pressure is wanted"),
        ("duct", {"flow": "400"}, "flow: '400' has no unit"),
        ("duct", {"flow": "-4 cfm"}, "flow: -4 cfm; wanted more than 0 m3/h"),
        ("duct", {"flow": "4 inH2O"}, "flow: '4 inH2O' is a pressure"),
        ("duct", {"speed": "20 m/s", "pressure": "200 Pa"}, "not both"),
        ("duct", {"flow": "400 cfm", "bore": "5 in", "speed": "9 m/s"}, "not three"),
        ("duct", {"wind": "4"}, "duct has no 'wind'"),
        ("duct", {"flow": "4 cfm; 5 cfm"}, "flow: 2 values; wanted one"),
        ("pitot", {"bore": "6 in", "readings": "90 Pa; 80 Pa"}, "2 readings so far; 1 way across are 6"),
        ("pitot", {"bore": "6 in", "points": "7", "readings": "90 Pa"}, "points: 7; wanted 6 or 10"),
        ("hood", {"bore": "4 in"}, "suction is wanted"),
        ("fitting", {"bore": "4 in", "flow": "400 cfm"}, "one of loss and length is wanted"),
        ("gauge", {"slope": "0 deg", "column": "1 mm"}, "slope: 0 deg"),
    ],
)
def test_what_gives_no_answer_is_told_in_one_line(name, texts, why):
    with pytest.raises(CardError) as told:
        answer(card_named(DECK, name), texts, Site())
    assert why in str(told.value) and "\n" not in str(told.value)


def test_what_hardly_can_be_is_told_in_words_and_the_air_is_named():
    found = answer(card_named(DECK, "bore"), {"flow": "785 cfm", "bore": "6 in", "other": "1 in"}, Site())
    told = "; ".join(found.remarks)
    assert "faster than 60.0 m/s (11811 ft/min), which no duct of this trade sees" in told and "air is compressed" in told
    plain = answer(card_named(DECK, "duct"), {"speed": "60 m/s", "bore": "6 in"}, Site()).remarks
    assert plain == ("in air of 1.199 kg/m3 (0.0748 lb/ft3)",)
    with pytest.raises(CardError, match=r"at most 2000 mm \(78.7"):
        answer(card_named(DECK, "duct"), {"flow": "785 cfm", "bore": "9 ft"}, Site())

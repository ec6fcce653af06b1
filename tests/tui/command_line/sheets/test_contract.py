"""The form of what `parts` and `cuts` tell as JSON, which other programs read: its keys, in SI. The shop is invented."""

from __future__ import annotations

import json

from tests import SAVED_DESIGNS
from tui.command_line import main

KINDS = {
    "straight", "elbow", "wye", "tee", "Y", "taper", "gate", "hose", "cleanout", "cap", "adapter", "clamp", "coupling", "sleeve", "hanger",
    "screw", "tape", "earthing wire", "lug", "part",
}  # fmt: skip
ITEM = {"kind", "stock", "bores", "count", "price"}


def told(capsys, *arguments):
    assert main([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_parts(capsys):
    found = told(capsys, "parts", str(SAVED_DESIGNS / "boat_shed.toml"))
    assert found.keys() >= {"items", "total", "unpriced"} and {item["kind"] for item in found["items"]} <= KINDS
    for item in found["items"]:
        assert item.keys() >= ITEM and item["count"] > 0 and all(0.0 < bore < 1.0 for bore in item["bores"])
        assert (item["kind"] in ("elbow", "wye", "Y", "taper")) <= (0.0 < item.get("angle", 0.0) < 1.6)
        assert (item["kind"] in ("straight", "hose")) == (item["stock"] is not None and "length" in item)
    # From the collector outward: the wye of the wide main has its branch last.
    wye = next(item for item in found["items"] if item["kind"] == "wye" and item["bores"][0] == 0.1778)
    assert wye["bores"][0] == wye["bores"][1] >= wye["bores"][2]
    priced = [item["price"] for item in found["items"] if item["price"] is not None]
    assert found["total"] == round(sum(priced), 2) and found["unpriced"] == len(found["items"]) - len(priced)


def test_cuts(capsys):
    found = told(capsys, "cuts", str(SAVED_DESIGNS / "boat_shed.toml"))
    assert [stock["size"] for stock in found["stocks"]] == [f"duct/{size}" for size in (4, 5, 6, 7, 8)]
    for stock in found["stocks"]:
        assert isinstance(stock["proven"], bool) and isinstance(stock["bound"], int) and stock["bound"] <= len(stock["sticks"])
        for stick in stock["sticks"]:
            assert stick["stick"] == 1.524 and sum(cut["length"] for cut in stick["cuts"]) <= 1.524 + 1e-9
            assert all(run and piece for run, _, piece in (cut["cut"].partition(" / ") for cut in stick["cuts"]))


def test_any_list_is_in_the_same_form(capsys):
    found = told(capsys, "cuts", "--stick", "3 m", "--kerf", "3 mm", "1.2 m", "0.85 m", "x4")
    [stock] = found["stocks"]
    assert stock.keys() >= {"size", "sticks", "proven", "bound"} and all(stick.keys() >= {"stick", "cuts"} for stick in stock["sticks"])

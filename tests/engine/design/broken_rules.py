"""Files that break one rule each, and what is told of it."""

from __future__ import annotations

import pytest

from tests.shops.design_texts import RECORDS, WHOLE, changed

CURVE = WHOLE[WHOLE.index("curve = [") : WHOLE.index("discharge")]
CAPPED = '[[run]]\nid = "spare"\njoins = "{}"\nsize = "spiral/125"\n'


def rule(where: str, said: str, *changes: tuple[str, str], nearest: str = "", line: str = ""):
    """Where a mistake is, part of what is said, what breaks the rule, and the first text of its line where that is not a new part."""
    return pytest.param(where, said, changes, nearest, line, id=f"{where}: {said}")


LAST_LINE = 'open = ["planer", "saw"]\n'
TWO_POINTS = '\n[[test_point]]\nid = "A"\nat = "main"\n\n[[test_point]]\nid = \'A\'\nat = "main"\n'


def recorded(records: str) -> tuple[str, str]:
    """The change that puts records at the end of the file."""
    return LAST_LINE, LAST_LINE + records


BROKEN = [
    # names
    rule(
        'run["main"].id',
        "earlier run",
        ('id = "saw main"', 'id = "main"'),
        ('joins = "saw main"\nas = "leg"\nsize = "spiral/125"\npieces', 'joins = "main"\nas = "branch"\nsize = "spiral/125"\npieces'),
        ('joins = "saw main"\nas = "leg"\nsize = "spiral/125"\nends', 'joins = "main"\nas = "branch"\nsize = "spiral/125"\nends'),
        line='id = "main"\njoins = "main"',
    ),
    rule(
        'machine["planer"].id',
        "earlier machine",
        ('id = "saw"\n', 'id = "planer"\n'),
        ("saw/below", "planer/below"),
        ("saw/guard", "planer/guard"),
        (', "saw"]', "]"),
        line='id = "planer"\n\n[[machine.port]]\nid = "below"',
    ),
    rule(
        'machine["saw"].port["below"].id',
        "earlier port",
        ('id = "guard"', 'id = "below"'),
        ('ends = "saw/guard"\n', ""),
        line='id = "below"\nbore = "63',
    ),
    rule(
        'stock["spiral"].id', "earlier stock", ('id = "hose"', 'id = "spiral"'), ('size = "hose/4 1/2 in", ', ""), line='id = "spiral"\nkind = "hose"'
    ),
    rule(
        'stock["spiral"].size["125"].nominal',
        "earlier size",
        ('nominal = "160"', 'nominal = "125"'),
        ("spiral/160", "spiral/125"),
        line='nominal = "125"\nbore = "160',
    ),
    rule('gate_set["both"].name', "earlier gate_set", ('name = "planer alone"', 'name = "both"'), line='name = "both"\nopen = ["planer", "saw"]'),
    rule('run["saw below"].pieces[0].gate', '"planer drop"', ('gate = "saw gate"', 'gate = "planer gate"'), line='{ gate = "planer gate" }'),
    rule(
        'machine["saw/2"].id',
        '"/"',
        ('id = "saw"\n', 'id = "saw/2"\n'),
        ("saw/below", "saw/2/below"),
        ("saw/guard", "saw/2/guard"),
        (', "saw"]', ', "saw/2"]'),
    ),
    rule('machine["saw"].port["a/b"].id', '"/"', ('id = "guard"', 'id = "a/b"'), ("saw/guard", "saw/a/b")),
    rule('stock["hose/2"].id', '"/"', ('id = "hose"', 'id = "hose/2"'), ("hose/4", "hose/2/4")),
    rule('run["saw/guard"].id', '"/"', ('id = "saw guard"', 'id = "saw/guard"')),
    rule('run["collector"].id', "the collector's", ('id = "saw guard"', 'id = "collector"')),
    # references
    rule('run["planer drop"].joins', '"mian"', ('joins = "main"\nas', 'joins = "mian"\nas'), nearest="main"),
    rule('run["saw main"].joins', "the id of a run", ('joins = "main"\nbore', 'joins = "zzz"\nbore'), line='joins = "zzz"'),
    rule('run["main"].size', "stock/nominal", ("spiral/160", "spiral/16"), nearest="spiral/160"),
    rule('run["main"].size', "stock/nominal", ("spiral/160", "spiral/200"), nearest="spiral/160"),
    rule('run["main"].size', "stock/nominal", ("spiral/160", "sprial/130"), nearest="spiral/125"),
    rule('run["planer drop"].pieces[3].size', "a hose", ("hose/4 1/2 in", "hose/4 in"), nearest="hose/4 1/2 in"),
    rule('run["planer drop"].pieces[3].size', "rigid pipe", ("hose/4 1/2 in", "spiral/160"), line='{ hose = "0.6 m"'),
    rule('run["planer drop"].ends', "machine/port", ("planer/hood", "planer/food"), nearest="planer/hood"),
    rule('gate_set["both"].open[1]', "id of a machine", (', "saw"]', ', "swa"]'), nearest="saw"),
    rule('gate_set["both"].open[1]', "second time", (', "saw"]', ', "planer"]')),
    rule(
        'gate_set["both"].throttle[0].gate',
        "name of a gate",
        (', "saw"]', ', "saw"]\nthrottle = [{ gate = "saw gat", open = 0.5 }]'),
        nearest="saw gate",
        line="throttle =",
    ),
    rule(
        'gate_set["both"].throttle[1].gate',
        "each gate once",
        (', "saw"]', ', "saw"]\nthrottle = [{ gate = "saw gate", open = 0.5 },\n{ gate = "saw gate", open = 0.6 }]'),
        line='{ gate = "saw gate", open = 0.6',
    ),
    rule("conveying.material", "fine dust", ('material = "dry chips and dust"', 'material = "dry chips und dust"'), nearest="dry chips and dust"),
    rule(
        'stock["spiral"].material',
        "galvanised spiral",
        ('material = "galvanised spiral"\nroughness', 'material = "galvanized spiral"\nroughness'),
        nearest="galvanised spiral",
    ),
    rule('run["saw main"].material', "galvanised spiral", ('material = "galvanised spiral"\n\n[[run]]', 'material = "wood"\n\n[[run]]')),
    # the room
    rule("site.room", "2 corners", ('    { east = "7.5 m", north = "4.5 m" },\n    { east = "0 m", north = "4.5 m" },\n', ""), line="room = ["),
    rule("site.room", "101 corners", ("room = [\n", "room = [\n" + 97 * '    { east = "0 m", north = "0 m" },\n'), line="room = ["),
    rule(
        "site.room[1]",
        "same place",
        ('north = "4.5 m" },\n    { east = "0 m", north = "4.5 m"', 'north = "0 m" },\n    { east = "0 m", north = "4.5 m"'),
        line='{ east = "7.5 m", north = "0 m" },',
    ),
    rule(
        "site.room[3]",
        "meets the one from corner 2",
        (
            '{ east = "7.5 m", north = "4.5 m" },\n    { east = "0 m", north = "4.5 m" }',
            '{ east = "0 m", north = "4.5 m" },\n    { east = "7.5 m", north = "4.5 m" }',
        ),
        line='{ east = "7.5 m", north = "4.5 m" }',
    ),
    rule(
        "site.room[2]",
        "meets the one from corner 2",
        ('{ east = "0 m", north = "4.5 m" },', '{ east = "7.5 m", north = "-1 m" },'),
        line='{ east = "7.5 m", north = "4.5 m" }',
    ),
    rule('site.zone["post by the stair"].east', 'more than west, "4.8 m"', ('east = "5.0 m"', 'east = "4.8 m"')),
    rule('site.zone["post by the stair"].north', "more than south", ('north = "4.0 m"', 'north = "3.7 m"')),
    rule('site.zone["canoe rack"].top', 'more than bottom, "1.8 m"', ('top = "2.2 m"', 'top = "1.8 m"')),
    rule('site.zone["post by the stair"].top', "more than the floor", ('south = "3.8 m"\n', 'south = "3.8 m"\ntop = "-1 m"\n'), line='top = "-1 m"'),
    rule(
        'site.zone["post by the stair"].bottom',
        'less than the height of the room, "2.9 m"',
        ('south = "3.8 m"\n', 'south = "3.8 m"\nbottom = "2.9 m"\n'),
        line='bottom = "2.9 m"',
    ),
    rule('site.zone["canoe rack"].name', "earlier zone", ('name = "post by the stair"', 'name = "canoe rack"'), line='name = "canoe rack"\nwest'),
    # bores
    rule('run["main"]', "neither size nor bore", ('size = "spiral/160"\n', ""), line='[[run]]\nid = "main"'),
    rule('run["main"]', "both size and bore", ('size = "spiral/160"', 'size = "spiral/160"\nbore = "160 mm"'), line='[[run]]\nid = "main"'),
    rule(
        'run["main"].material',
        "only with bore",
        ('size = "spiral/160"', 'size = "spiral/160"\nmaterial = "galvanised spiral"'),
        line='material = "galvanised spiral"\npieces',
    ),
    rule(
        'run["saw main"].bore',
        "material",
        ('bore = "125 mm"\nmaterial = "galvanised spiral"\n', 'bore = "125 mm"\n'),
        line='bore = "125 mm"\n\n[[run]]',
    ),
    rule('stock["spiral"].size["125"].outside', "more than the bore", ("126 mm", "125 mm"), line='outside = "125 mm"'),
    # the tree
    rule('run["saw main"].joins', '"main" joins already', ('joins = "main"\nbore', 'joins = "collector"\nbore')),
    rule(
        'run["planer drop"].as',
        '"branch" at the collector',
        ('joins = "main"\nas', 'joins = "collector"\nas'),
        ('joins = "collector"\nsize = "spiral/160"', 'joins = "planer drop"\nsize = "spiral/160"'),
        ('ends = "planer/hood"\n', ""),
        line='as = "branch"',
    ),
    rule(
        'run["saw main"].as',
        "at most one straight",
        ('as = "branch"', 'as = "straight"'),
        ('angle = "45 deg"\ntoward = "north"\n', ""),
        ('joins = "main"\nbore', 'joins = "main"\nas = "straight"\nbore'),
        line='as = "straight"\nbore',
    ),
    rule('run["saw main"].joins', "at most one straight", ('as = "branch"\nangle = "45 deg"\ntoward = "north"\n', ""), line='joins = "main"\nbore'),
    rule(
        'run["saw below"].as',
        "2 of 3 runs",
        ('[[gate_set]]\nname = "both"', CAPPED.format("saw main") + '[[gate_set]]\nname = "both"'),
        line='as = "leg"\nsize = "spiral/125"\npieces',
    ),
    rule(
        'run["saw below"].as', "1 of 2 runs", ('as = "leg"\nsize = "spiral/125"\nends', 'as = "branch"\nsize = "spiral/125"\nends'), line='as = "leg"'
    ),
    rule(
        'run["planer drop"].angle',
        "only with as",
        ('as = "branch"\nangle = "45 deg"\ntoward = "north"', 'angle = "45 deg"'),
        ('joins = "main"\nbore', 'joins = "main"\nas = "branch"\nbore'),
        line='angle = "45 deg"',
    ),
    rule('run["main"].toward', "only with as", ('joins = "collector"', 'joins = "collector"\ntoward = "west"'), line='toward = "west"\nsize'),
    rule(
        'run["main"].loss',
        "no other run joins",
        ('id = "main"\njoins = "collector"\n', 'id = "main"\njoins = "collector"\nloss = -0.4\n'),
        line="loss = -0.4",
    ),
    rule(
        'run["saw main"].ends',
        "a run of its own",
        ('material = "galvanised spiral"\n\n[[run]]', 'material = "galvanised spiral"\nends = "saw/guard"\n\n[[run]]'),
        ('as = "leg"\nsize = "spiral/125"\nends = "saw/guard"\n', 'as = "leg"\nsize = "spiral/125"\n'),
        line='ends = "saw/guard"',
    ),
    rule('run["saw guard"].ends', '"saw below" ends already', ("saw/guard", "saw/below"), line='ends = "saw/below"\n\n[[gate_set]]'),
    # ports and collector
    rule(
        'machine["saw"].port["below"]',
        "both loss and suction",
        ('suction = "600 Pa"', 'suction = "600 Pa"\nloss = 1'),
        line='[[machine.port]]\nid = "below"',
    ),
    rule('machine["saw"].port["below"].suction', "0 cfm", ("500 cfm", "0 cfm"), line="suction ="),
    rule(
        "collector.curve",
        "at least 2",
        ('    { flow = "1000 m^3/h", pressure = "2150 Pa" },\n    { flow = "2000 m^3/h", pressure = "1200 Pa" },\n', ""),
        line="curve =",
    ),
    rule(
        "collector.curve[2].flow",
        "flows that rise",
        ('flow = "2000 m^3/h"', 'flow = "1000 m^3/h"'),
        line='    { flow = "1000 m^3/h", pressure = "1200',
    ),
    rule("collector.curve", "no pressure", ("2400 Pa", "0 Pa"), ("2150 Pa", "0 Pa"), ("1200 Pa", "0 Pa"), line="curve ="),
    rule("collector", "neither curve nor free_air", (CURVE, ""), line="[collector]"),
    rule("collector.free_air", "without max_suction", (CURVE, 'free_air = "2000 m^3/h"\n')),
    rule("collector.max_suction", "without free_air", (CURVE, 'max_suction = "2 kPa"\n')),
    rule("collector.free_air", "beside a curve", ("discharge =", 'free_air = "2600 m^3/h"\ndischarge ='), line="free_air ="),
    rule("collector.basis", "without outlet", ("inlet suction", "fan total")),
    # speeds
    rule("conveying.settles", "at most slow_main", ('settles = "15 m/s"', 'settles = "18.1 m/s"')),
    rule("conveying.slow_main", "at most fast", ("18 m/s", "29 m/s")),
    rule(
        "collector.outlet_pieces",
        "bore of the outlet",
        ('discharge = "room"', 'discharge = "outside"\noutlet_pieces = [{ straight = "2 m" }]'),
        line="outlet_pieces",
    ),
    rule(
        "collector.outlet_pieces",
        "outside",
        ('discharge = "room"', 'outlet = "160 mm"\noutlet_pieces = [{ straight = "2 m" }]'),
        line="outlet_pieces",
    ),
    rule(
        "collector.outlet_pieces[0].size",
        "a hose",
        ('discharge = "room"', 'discharge = "outside"\noutlet = "160 mm"\noutlet_pieces = [{ hose = "2 m", size = "hose/9" }]'),
        nearest="hose/4 1/2 in",
        line="outlet_pieces",
    ),
    rule(
        "collector.outlet_pieces[1].gate",
        "gates in runs",
        ('discharge = "room"', 'discharge = "outside"\noutlet = "160 mm"\noutlet_pieces = [{ straight = "2 m" },\n{ gate = "saw gate" }]'),
        line='{ gate = "saw gate" }]',
    ),
    rule(
        "collector.outlet_material",
        "galvanised spiral",
        ('discharge = "room"', 'discharge = "room"\noutlet_material = "stell"'),
        nearest="steel",
        line="outlet_material",
    ),
    rule(
        'collector.loss["loaded filter"].clean', 'at most the drop, "300 Pa"', ('drop = "300 Pa"', 'drop = "300 Pa"\nclean = "301 Pa"'), line="clean"
    ),
    rule(
        'collector.loss["loaded filter"].dirty',
        'at least the drop, "300 Pa"',
        ('drop = "300 Pa"', 'drop = "300 Pa"\ndirty = "1 inH2O"'),
        line="dirty",
    ),
    # the store, the room, and what was decided and measured
    rule(
        'stock["spiral"].fitting_lengths[0]',
        "neither length nor bores",
        ("elbow_radius = 1.50", 'fitting_lengths = [\n    { of = "wye" },\n]'),
        line='{ of = "wye" }',
    ),
    rule("site.main_lowest", 'at most main_highest, "2 m"', ('height = "2.9 m"', 'main_lowest = "3 m"\nmain_highest = "2 m"')),
    rule("store", "beside the design", ('display = "metric"\n', 'display = "metric"\nstore = "../store.toml"\n'), line="store ="),
    rule('test_point["A"].id', "earlier test_point", recorded(TWO_POINTS), line="id = 'A'"),
    rule(
        "accepted[0].finding",
        "not known",
        recorded(changed(('long-hose"\nat', 'long-hoses"\nat'), text=RECORDS)),
        nearest="long-hose",
        line="finding =",
    ),
    rule(
        "limit[0].of", "not known", recorded(changed(("long-hose.poor", "long-hose.gods"), text=RECORDS)), nearest="long-hose.good", line='of = "long'
    ),
    rule("limit[0].is", "has no unit", recorded(changed(('"2.5 m"', '"2.5"'), text=RECORDS)), line='is = "2.5'),
    rule(
        "reading[0].value",
        "is a pressure",
        recorded(changed(('what = "suction"', 'what = "flow"'), ("20 Pa", "2 cfm"), text=RECORDS)),
        line='value = "640',
    ),
    rule("reading[0].test_point", "one place", recorded(changed(('"suction"', '"suction"\nport = "saw/guard"'), text=RECORDS)), line="test_point ="),
    rule("log[0].date", "from 1900", recorded(changed(("2026-03-02\ntext", "1026-03-02\ntext"), text=RECORDS)), line="date = 1026"),
    rule("tuned.port[0].loss", "-1", recorded(changed(("loss = 1.31", "loss = -1"), text=RECORDS)), line='{ port = "planer/hood"'),
    rule(
        "tuned.port[1].port",
        "earlier",
        recorded(changed(('"a port that/is gone", loss', '"planer/hood", loss'), text=RECORDS)),
        line='{ port = "planer/hood", loss = 0.9',
    ),
    rule("tuned.since", "from 1900", recorded(changed(("since = 2026", "since = 1026"), text=RECORDS)), line="since ="),
    rule("conveying.slow_branch", "at most fast", ("20 m/s", "28.5 m/s")),
    rule("conveying.settles", "at most slow_branch", ('slow_branch = "20 m/s"', 'slow_branch = "14 m/s"'), line="settles ="),
    rule("conveying.slow_main", "as usual", ('settles = "15 m/s"\n', ""), ('slow_main = "18 m/s"', 'slow_main = "9 m/s"'), line="slow_main ="),
]

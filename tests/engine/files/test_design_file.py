"""Design files read: every mistake told with its place, what was found and what is wanted."""

from __future__ import annotations

import errno
import os
from math import pi

import pytest

from engine.checks.assess import assess
from engine.design import Elbow, OwnLoss
from engine.design.entries import entries
from engine.design.limits import LONGEST_NOTES
from engine.design.names import LONGEST_NAME
from engine.design.rules.consistency import MOST_RUNS
from engine.files.design_file import MOST_BYTES, DesignFileError, load, loads
from engine.units import unit_list
from tests.shops.design_texts import WHOLE, changed, line_number, mistakes_in, only_mistake
from tests.shops.one_drop import TEXT as SMALL_SHOP
from tui.command_line.command import main

HOSE = 'run["planer drop"].pieces[3]'


def test_a_whole_file_is_read():
    design = loads(WHOLE)
    assert design.site.altitude.si == 140.0 and design.site.altitude.text == "140 m"
    assert design.collector.losses[0].law == "linear"
    assert [size.nominal for size in design.stock[0].sizes] == ["125", "160"]
    drop = design.runs[1]
    assert drop.as_ == "branch" and drop.taper.si == pi and drop.taper.text == "blunt"
    assert drop.pieces[2] == OwnLoss(loss=0.35, name="magnet trap")
    assert design.gate_sets[1].open == ("planer", "saw")


def test_what_is_absent_is_none_or_empty():
    design = loads('format = 1\nname = "bare"\n[collector]\ninlet = "160 mm"\nfree_air = "2000 m3/h"\nmax_suction = "2 kPa"\n')
    assert design.display is None and design.site.altitude is None and design.runs == () and design.gate_sets == ()


# One mistake each: the change, where it is, parts of what is said of it.
VALUES = [
    ('{ straight = "0.8 m" }', "{ straight = 0.8 }", 'run["planer drop"].pieces[1].straight', ["0.8", "bare number", unit_list("length")]),
    ('{ straight = "0.8 m" }', '{ straight = "0.8" }', 'run["planer drop"].pieces[1].straight', ["no unit", unit_list("length")]),
    ('{ straight = "0.8 m" }', '{ straight = "0 m" }', 'run["planer drop"].pieces[1].straight', ['"0 m"', "more than 0 m"]),
    ('{ straight = "0.8 m" }', '{ straight = "-1 m" }', 'run["planer drop"].pieces[1].straight', ['"-1 m"']),
    ('{ straight = "0.8 m" }', '{ straight = "501 m" }', 'run["planer drop"].pieces[1].straight', ['"501 m"', "500 m"]),
    ('{ straight = "0.8 m" }', '{ straight = "350 cfm" }', 'run["planer drop"].pieces[1].straight', ["350 cfm", "a flow", "a length"]),
    ('{ straight = "0.8 m" }', "{ straight = true }", 'run["planer drop"].pieces[1].straight', ["true"]),
    ('{ straight = "0.8 m" }', "{ straight = 1979-05-27 }", 'run["planer drop"].pieces[1].straight', ["1979-05-27"]),
    ('hose = "0.6 m"', "hose = 0.6", f"{HOSE}.hose", ["0.6", unit_list("length")]),
    ('bend = "45 deg"', 'bend = "721 deg"', f"{HOSE}.bend", ["720 deg"]),
    ("compressed = 0.1", "compressed = 0.51", f"{HOSE}.compressed", ["0.51", "from 0 to 0.5"]),
    ("compressed = 0.1", 'compressed = "0.1"', f"{HOSE}.compressed", ['"0.1"', "a number"]),
    ("humidity = 0.5", "humidity = true", "site.humidity", ["true", "a number"]),
    ("humidity = 0.5", "humidity = nan", "site.humidity", ["nan", "from 0 to 1"]),
    ("humidity = 0.5", "humidity = 1e999", "site.humidity", ["1e999"]),
    ("loss = 0.3\n", "loss = inf\n", 'run["planer drop"].loss', ["inf"]),
    ("loss = 0.3\n", f"loss = 0x{'f' * 5000}\n", 'run["planer drop"].loss', ["a very long number"]),
    ("gores = 5", "gores = 5.0", 'run["main"].pieces[1].gores', ["5.0", "a whole number"]),
    ("gores = 5", "gores = 8", 'run["main"].pieces[1].gores', ["from 3 to 7"]),
    ("conducts = true", "conducts = 1", 'stock["spiral"].conducts', ["true or false"]),
    ('altitude = "140 m"', 'altitude = "17000 ft 1 in"', "site.altitude", ["17000 ft 1 in", "-430 m to 5000 m"]),
    ('temperature = "17 degC"', 'temperature = "-300 degC"', "site.temperature", ["-300 degC", "-40 degC"]),
    ('slow_branch = "20 m/s"', 'slow_branch = "0 m/s"', "conveying.slow_branch", ["more than 0"]),
    ('angle = "45 deg"', 'angle = "0 deg"', 'run["planer drop"].angle', ['"0 deg"']),
    ('taper = "blunt"', 'taper = "sharp"', 'run["planer drop"].taper', ["sharp", '"blunt"', "deg"]),
    ('name = "Lock-keeper\'s shed"', "name = 5", "name", ["5", "a text"]),
    ('name = "Lock-keeper\'s shed"', 'name = " "', "name", ["a text"]),
    ('open = ["planer"]', 'open = "planer"', 'gate_set["planer alone"].open', ['"planer"', "a list"]),
    ('open = ["planer"]', "open = [1]", 'gate_set["planer alone"].open[0]', ["1", "a text: machines"]),
    ('{ gate = "planer gate", loss = 0.2 },', '"planer gate",', 'run["planer drop"].pieces[0]', ["planer gate", "a table"]),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "where", "parts"), VALUES, ids=[f"{where}: {new[:30]}" for _, new, where, _ in VALUES])
def test_a_wrong_value_is_told_with_its_place(old, new, where, parts):
    mistake = only_mistake((old, new))
    assert mistake.where == where
    assert mistake.line == line_number(changed((old, new)), new)
    assert all(part in str(mistake) for part in parts), str(mistake)


NEAREST = [
    ('display = "metric"', 'display = "metrik"', "display", "metric"),
    ('faces = "north"', 'faces = "nort"', "collector.faces", "north"),
    ('altitude = "140 m"', 'altitde = "140 m"', "site.altitde", "altitude"),
    ("[[gate_set]]\nname = \"both\"", "[[gateset]]\nname = \"both\"", "gateset", "gate_set"),
    ("radius = 2", "radus = 2", 'run["main"].pieces[1].radus', "radius"),
    ('{ straight = "0.8 m" }', '{ strait = "0.8 m" }', 'run["planer drop"].pieces[1]', "straight"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "where", "nearest"), NEAREST, ids=[row[2] for row in NEAREST])
def test_the_nearest_known_word_is_offered(old, new, where, nearest):
    mistake = only_mistake((old, new))
    assert (mistake.where, mistake.nearest) == (where, nearest)
    assert mistake.line == line_number(changed((old, new)), new)


MISSING = [
    ('joins = "collector"\n', 'run["main"].joins', '[[run]]\nid = "main"'),
    ('inlet = "160 mm"\n', "collector.inlet", "[collector]"),
    ('needs = "820 m^3/h"\n', 'machine["planer"].port["hood"].needs', '[[machine.port]]\nid = "hood"'),
    (', pressure = "1200 Pa"', "collector.curve[2].pressure", '    { flow = "2000'),
]  # fmt: skip


@pytest.mark.parametrize(("part", "where", "row"), MISSING, ids=[row[1] for row in MISSING])
def test_a_missing_key_is_told_at_the_table_that_lacks_it(part, where, row):
    mistake = only_mistake((part, ""))
    assert (mistake.where, mistake.found) == (where, "missing")
    assert mistake.line == line_number(changed((part, "")), row)


def test_a_row_without_a_name_goes_by_its_index():
    assert only_mistake(('id = "saw main"\n', "")).where == "run[2].id"


def test_every_mistake_of_a_file_is_told_at_once_and_in_order():
    changes = [
        ("format = 1\n", ""),
        ('altitude = "140 m"', "altitude = 140"),
        ("humidity = 0.5", "humidty = 0.5"),
        ("elbow_radius = 1.50", 'elbow_radius = "1.5"'),
        ('bore = "120 mm"\n', ""),
        ('{ cleanout = "by the door" }', '{ cleenout = "by the door" }'),
        ('{ hose = "0.6 m"', "{ hose = 0.6"),
        ('ends = "saw/below"', 'ends = "saw/belwo"'),
        ('id = "saw guard"', 'id = "saw below"'),
    ]  # fmt: skip
    text = changed(*changes)
    found = mistakes_in(text)
    wheres = [mistake.where for mistake in found]
    assert sorted(wheres) == sorted([
        "format", "site.altitude", "site.humidty", 'stock["spiral"].elbow_radius', 'machine["planer"].port["hood"].bore',
        'run["main"].pieces[2]', f"{HOSE}.hose", 'run["saw below"].ends', 'run["saw below"].id',
    ])  # fmt: skip
    lines = [mistake.line or 0 for mistake in found]
    assert lines == sorted(lines)
    assert found[wheres.index('run["saw below"].id')].line == line_number(text, 'joins = "saw main"\nas = "leg"\nsize = "spiral/125"\nends') - 1


def test_a_misspelt_key_does_not_bring_mistakes_that_follow_from_it():
    for old, new in [
        ('size = "spiral/160"', 'siz = "spiral/160"'),
        ('[[machine.port]]\nid = "guard"', '[[machine.prot]]\nid = "guard"'),
        ('[[stock]]\nid = "spiral"', '[[stok]]\nid = "spiral"'),
        ('as = "branch"', 'az = "branch"'),
    ]:
        text = changed((old, new)).replace("[[stock.size]]", "[[stok.size]]") if "stok" in new else changed((old, new))
        unknown = {mistake.found for mistake in mistakes_in(text)}
        assert unknown == {"a key that is not known"}, text


def test_a_misspelt_key_hides_no_mistake_elsewhere():
    found = mistakes_in(changed(("port_taper =", "port_tapr ="), ('joins = "collector"', 'joins = "colector"')))
    assert {'run["planer drop"].port_tapr', 'run["main"].joins'} <= {mistake.where for mistake in found}


@pytest.mark.parametrize("value", ["2", "0", "true", "1.0", '"1"', "[1]"])
def test_another_format_is_refused(value):
    assert "format = 1" in str(mistakes_in(changed(("format = 1", f"format = {value}")))[0])


def test_texts_have_a_longest_length():
    for key, longest in (("name", LONGEST_NAME), ("notes", LONGEST_NOTES)):
        old = next(line for line in WHOLE.splitlines() if line.startswith(f"{key} = "))
        good = WHOLE.replace(old, f'{key} = "{"ü" * longest}"', 1)
        assert getattr(loads(good), key) == "ü" * longest
        assert f"at most {longest}" in str(mistakes_in(good.replace("ü", "üü", 1))[0])


@pytest.mark.parametrize("code", ["0000", "000A", "0009", "001B", "007F", "0085", "009B", "061C", "200B", "200E", "202E", "2028", "2066", "FEFF"])
def test_control_characters_are_refused_and_never_repeated(code):
    mistake = only_mistake(('name = "magnet trap"', f'name = "magnet\\u{code}trap"'))
    assert f"U+{code}" in str(mistake) and str(mistake).isprintable()


def test_notes_may_have_lines_and_names_may_be_in_any_language():
    text = changed(('notes = ""', 'notes = """\nfirst\nsecond"""'), ("Lock-keeper's shed", "堰守の小屋 – Ж"))
    assert loads(text).notes == "first\nsecond"
    assert "control" in str(only_mistake(('notes = ""', 'notes = "\\u001b[2J"')))


def test_limits_are_told_in_the_units_shown():
    text = changed(('display = "metric"', 'display = "imperial"'), ('bore = "120 mm"', 'bore = "3 m"'))
    assert "78.74 in" in str(mistakes_in(text)[0])


def test_the_table_of_entries_knows_what_the_messages_say():
    said = str(only_mistake(("gores = 5", "gores = 2")))
    assert entries(Elbow)["gores"].meaning in said


def test_syntax_is_told_with_its_line():
    text = changed(('altitude = "140 m"', 'altitude = "140 m'))
    (mistake,) = mistakes_in(text)
    assert mistake.line == line_number(text, 'altitude = "140 m')
    assert mistakes_in(WHOLE + "[collector]\n")[0].line == WHOLE.count("\n") + 1
    assert mistakes_in(WHOLE + "end = [")[0].line == WHOLE.count("\n") + 1


def test_windows_line_ends_and_a_byte_order_mark_are_read(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode())
    assert load(path) == loads(WHOLE)


def test_too_many_runs_or_gate_sets_are_refused():
    runs = "".join(f'[[run]]\nid = "r{i}"\njoins = "main"\nas = "branch"\nsize = "spiral/125"\n' for i in range(498))
    straight = changed(('[[run]]\nid = "saw main"', '[[run]]\nid = "saw main"\nas = "branch"'))
    assert "at most 500" in str(mistakes_in(straight + runs)[0])
    sets = "".join(f'[[gate_set]]\nname = "s{i}"\n' for i in range(62))
    assert len(loads(WHOLE + sets).gate_sets) == 64
    assert "at most 64" in str(mistakes_in(WHOLE + sets + '[[gate_set]]\nname = "last"\n')[0])


def test_files_that_cannot_be_read(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "ring.toml").symlink_to(tmp_path / "ring.toml")
    for path in [tmp_path / name for name in ("none.toml", "folder.toml", "pipe.toml", "ring.toml", "x" * 300)] + ["a\0b"]:
        with pytest.raises(DesignFileError) as caught:
            load(path)
        assert all(str(mistake).isprintable() for mistake in caught.value.mistakes)


def test_a_missing_file_is_told_plainly(tmp_path, capsys):
    with pytest.raises(DesignFileError) as caught:
        load(tmp_path / "none.toml")
    assert str(caught.value) == "no such file or directory; wanted: a design file that can be read"
    assert main(["check", str(tmp_path / "none.toml")]) == 2
    assert capsys.readouterr().err == f"kerfdraft: {tmp_path / 'none.toml'}: {caught.value}\n"


def test_a_file_one_may_not_read_is_told_plainly(tmp_path, monkeypatch):
    def refused(*_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    (tmp_path / "shop.toml").write_text(WHOLE)
    monkeypatch.setattr(os, "open", refused)
    with pytest.raises(DesignFileError, match=r"^permission denied; wanted: a design file that can be read$"):
        load(tmp_path / "shop.toml")


def test_references_may_be_as_long_as_the_two_names_they_are_made_of():
    saw, port, stock, size = ("é" * LONGEST_NAME, "p" * LONGEST_NAME, "s" * LONGEST_NAME, "4" * LONGEST_NAME)
    changes = [
        ("saw/guard", f"{saw}/{port}"),
        ("saw/below", f"{saw}/below"),
        ('id = "saw"\n', f'id = "{saw}"\n'),
        ('id = "guard"', f'id = "{port}"'),
        (', "saw"]', f', "{saw}"]'),
    ]
    changes += [('id = "hose"', f'id = "{stock}"'), ('nominal = "4 1/2 in"', f'nominal = "{size}"'), ("hose/4 1/2 in", f"{stock}/{size}")]
    design = loads(changed(*changes))
    assert design.runs[4].ends == f"{saw}/{port}" and len(design.runs[4].ends) == 2 * LONGEST_NAME + 1
    assert design.runs[1].pieces[3].size == f"{stock}/{size}"
    longer = only_mistake(("saw/guard", "x" * (2 * LONGEST_NAME + 2)))
    assert "at most 161 characters" in str(longer) and longer.where == 'run["saw guard"].ends'
    assert f"at most {LONGEST_NAME}" in str(only_mistake(('gate = "saw gate"', f'gate = "{"x" * (LONGEST_NAME + 1)}"')))


def test_a_long_way_of_runs_is_read_and_assessed():
    head = WHOLE[: WHOLE.index("[[run]]")]
    row = '[[run]]\nid = "r{}"\njoins = "{}"\nsize = "spiral/160"\npieces = [{{ straight = "0.1 m" }}]\n'
    rows = [row.format(i, f"r{i - 1}" if i else "collector") for i in range(MOST_RUNS)]
    design = loads(head + "".join(rows) + 'ends = "planer/hood"\n')
    (result,) = assess(design).sets
    assert result.balance is not None and result.balance.flow > 0.1


def test_a_short_file_that_would_be_too_large_once_saved_is_refused_as_it_is_read(tmp_path):
    pieces = "{straight='1 m'}," * 2000
    runs = ",".join(f"{{id='{i}',joins='{i - 1 if i else 'collector'}',size='pipe/150',pieces=[{pieces}]}}" for i in range(26))
    head, rest = SMALL_SHOP.split("[[run]]", 1)
    text = f"{head}\n".replace("\n\n[collector]", f"\nrun=[{runs}]\n\n[collector]", 1) + rest[rest.index("[[gate_set]]") :]
    (tmp_path / "shop.toml").write_text(text)
    assert len(text) < MOST_BYTES
    with pytest.raises(DesignFileError, match=r"a design that takes 1\.\d\d MiB in its file; wanted: a design file of at most 1 MiB"):
        load(tmp_path / "shop.toml")

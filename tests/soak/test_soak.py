"""A short stretch of each long trial."""

from __future__ import annotations

import pytest

from tests.soak import kill, mutate


@pytest.mark.parametrize(("trial", "times"), [(kill, 12), (mutate, 1000)], ids=["kill", "mutate"])
def test_nothing_goes_wrong(trial, times, capfd):
    assert trial.main(times) == 0, capfd.readouterr().out


def test_a_hang_a_traceback_and_a_control_character_would_be_noticed(tmp_path, monkeypatch):
    import signal

    monkeypatch.setattr(mutate, "LONGEST", 0.05)
    monkeypatch.setattr(mutate, "read", lambda data, path: next(iter(lambda: 0, 1)) and 0)
    monkeypatch.setattr(mutate, "mutated", lambda rng, data: data)
    monkeypatch.setattr(mutate, "nudged", lambda rng, data: data)
    before = signal.signal(signal.SIGPROF, mutate._hang)
    try:
        for behaviour, words in ((_spin, "Hang"), (_fail, "ZeroDivisionError"), (_load, "control character")):
            monkeypatch.setattr(mutate, "read", behaviour)
            monkeypatch.setattr(mutate.report, "as_text", lambda assessment: "\x1b[31m")
            assert words in mutate.one_file(1, tmp_path / "shop.toml")
    finally:
        signal.signal(signal.SIGPROF, before)


def _spin(data, path):
    while True:
        pass


def _fail(data, path):
    return 1 / 0


def _load(data, path):
    from engine.design_file import loads

    return loads(data.decode())

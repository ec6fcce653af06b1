"""Counts and shares in words, and that no share is told better than it is."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.units.words import counted, listed, percent, rough_length, share_text, shares_beside


def test_one_is_counted_apart_from_many():
    assert [counted(count, "gate set") for count in (0, 1, 2)] == ["0 gate sets", "1 gate set", "2 gate sets"]
    assert [counted(count, "branch", "branches") for count in (1, 2)] == ["1 branch", "2 branches"]
    assert [counted(count, "fault", none="no") for count in (0, 1)] == ["no faults", "1 fault"]


def test_a_long_list_is_cut_and_the_rest_counted():
    assert [listed(["a", "b", "c", "d"][:count], 2) for count in range(5)] == ["", "a", "a, b", "a, b and 1 more", "a, b and 2 more"]


def test_a_draft_is_told_to_the_tenth_of_a_metre_or_the_foot():
    assert (rough_length(12.36, "metric"), rough_length(12.36, "imperial")) == ("12.4 m", "41 ft")  # 40.55 ft


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.996, "99 %"), (0.99999999, "99 %"), (1.0, "100 %"), (1.009, "100 %"), (0.8999, "89 %"), (0.9, "90 %"),
        (0.57, "57 %"), (0.29, "29 %"), (0.0, "0 %"), (25.0, "2500 %"), (None, "no answer"),
    ],
)  # fmt: skip
def test_a_share_is_cut_to_a_whole_per_cent(share, text):
    assert share_text(share) == text


@given(st.floats(0.0, 1e26), st.integers(0, 1))
def test_a_share_is_told_within_one_of_its_last_digit_and_never_above(share, decimals):
    told, exact = Fraction(percent(share, decimals)), Fraction(str(share)) * 100
    assert told <= exact < told + Fraction(1, 10**decimals)


@given(st.floats(0.0, 10.0), st.integers(1, 1000))
def test_a_share_short_of_a_whole_per_cent_never_reads_as_it(share, limit):
    assert (Fraction(percent(share)) >= limit) == (Fraction(str(share)) * 100 >= limit)


@pytest.mark.parametrize(
    ("shares", "texts"),
    [
        ((0.91, 0.97), ["91 %", "97 %"]), ((0.9962, 0.9987), ["99.6 %", "99.8 %"]), ((0.991, 1.0), ["99 %", "100 %"]),
        ((0.5, 0.5), ["50 %", "50 %"]), ((0.5, 0.50000001), ["50 %", "50 %"]), ((None, 0.5), ["no answer", "50 %"]),
        ((0.974, 0.9, 0.9061), ["97.4 %", "90.0 %", "90.6 %"]), ((), []),
    ],
)  # fmt: skip
def test_shares_beside_each_other_get_tenths_where_they_would_look_alike(shares, texts):
    assert shares_beside(*shares) == texts

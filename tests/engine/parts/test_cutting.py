"""Cutting: published lists with a printed optimum, lists built backwards, and every way of cutting small ones."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from random import Random

import pytest

from engine.parts.cutting import Cut, Cutting, CuttingError, Stick, cutting

KERF = 0.003


def cuts_of(*sizes: tuple[float, int]) -> list[Cut]:
    return [Cut(f"{length} {number}", length) for length, count in sizes for number in range(count)]


def whole(found: Cutting, cuts: list[Cut], kerf: float) -> None:
    """Every cut is made once, and no stick holds more than its length."""
    assert Counter(cut for one in found.sticks for cut in one.cuts) == Counter(cuts)
    for one in found.sticks:
        taken = sum(cut.length for cut in one.cuts) + kerf * (len(one.cuts) - 1)
        assert taken <= one.stick.length + 1e-4
        assert one.left == pytest.approx(max(0.0, one.stick.length - taken - kerf), abs=1e-4)


# Lengths as printed, taken as centimetres or millimetres; no kerf.
CHVATAL = ([(0.45, 97), (0.36, 610), (0.31, 395), (0.14, 211)], 1.00)
PAPER = (
    [
        (1.380, 22), (1.520, 25), (1.560, 12), (1.710, 14), (1.820, 18), (1.880, 18), (1.930, 20),
        (2.000, 10), (2.050, 12), (2.100, 14), (2.140, 16), (2.150, 18), (2.200, 20),
    ],
    5.600,
)  # fmt: skip
RIETZ = ([(0.44, 2), (0.33, 3), (0.12, 6)], 1.32)


@pytest.mark.parametrize(
    ("sizes", "stick", "fewest"),
    [
        # V. Chvátal, Linear Programming (1983), chapter 13: 452.25 where parts of rolls can be cut, 453 whole ones (from memory).
        pytest.param(*CHVATAL, 453, id="Chvatal"),
        # Wikipedia, Cutting stock problem, the list of a paper mill: 73 rolls of 5600 mm, 0.401 % waste (from memory; the waste agrees).
        pytest.param(*PAPER, 73, id="paper mill"),
        # J. Rietz and G. Scheithauer, Optimization 51 (2002): parts of sticks 259/132, whole sticks 3, a gap of 137/132 (from memory).
        pytest.param(*RIETZ, 3, id="Rietz"),
    ],
)
def test_published_lists_are_cut_from_the_fewest_sticks_and_proven(sizes, stick, fewest):
    cuts = cuts_of(*sizes)
    found = cutting(cuts, [Stick(stick)], 0.0, seconds=30.0)
    whole(found, cuts, 0.0)
    assert len(found.sticks) == fewest and found.proven and found.bound == fewest


def test_the_waste_printed_with_the_paper_mills_list_agrees_with_its_lengths():
    sizes, roll = PAPER
    assert 1 - sum(length * count for length, count in sizes) / (73 * roll) == pytest.approx(0.00401, abs=0.00001)


@pytest.mark.parametrize("seed", range(6))
def test_sticks_sawn_up_without_a_rest_are_put_together_again(seed):
    """The lengths fill so many sticks wholly: fewer cannot hold them."""
    random, sticks = Random(seed), 12
    cuts = []
    for stick in range(sticks):
        left = 3000
        while left > 1600:
            length = random.randrange(350, 1200)
            cuts.append(Cut(f"{stick} {len(cuts)}", length / 1000))
            left -= length + 3
        cuts.append(Cut(f"{stick} rest", left / 1000))
    found = cutting(cuts, [Stick(3.0)], KERF, seconds=30.0)
    whole(found, cuts, KERF)
    assert found.bound == sticks and len(found.sticks) == sticks


def ffd(cuts: list[Cut], stick: float, kerf: float) -> int:
    """First fit decreasing."""
    rooms: list[float] = []
    for cut in sorted(cuts, key=lambda cut: -cut.length):
        at = next((i for i, room in enumerate(rooms) if cut.length + kerf <= room + 1e-9), None)
        if at is None:
            rooms.append(stick + kerf)
            at = len(rooms) - 1
        rooms[at] -= cut.length + kerf
    return len(rooms)


@pytest.mark.parametrize("count", [8, 20, 40, 150])
def test_it_is_never_worse_than_first_fit_decreasing(count):
    for seed in range(3):
        random = Random(seed * 1000 + count)
        cuts = [Cut(str(i), random.randrange(200, 2000) / 1000) for i in range(count)]
        found = cutting(cuts, [Stick(3.0)], KERF, seconds=0.5)
        whole(found, cuts, KERF)
        assert found.bound <= len(found.sticks) <= ffd(cuts, 3.0, KERF)


def every_way(cuts: list[Cut], sticks: list[Stick], kerf: float) -> float:
    """The least price of all ways to cut a short list."""
    names = frozenset(range(len(cuts)))
    least: dict[tuple[frozenset[int], tuple[int, ...]], float] = {}

    def price(left: frozenset[int], used: tuple[int, ...]) -> float:
        if not left:
            return 0.0
        if (left, used) not in least:
            first, rest = min(left), sorted(left)[1:]
            found = float("inf")
            for more in range(len(rest) + 1):
                for others in combinations(rest, more):
                    taken = sum(cuts[i].length for i in (first, *others)) + kerf * more
                    for i, stick in enumerate(sticks):
                        if taken <= stick.length + 1e-9 and (stick.most is None or used[i] < stick.most):
                            now = tuple(count + (j == i and stick.most is not None) for j, count in enumerate(used))
                            own = 0.0 if stick.in_hand else stick.price
                            found = min(found, own + price(left - {first, *others}, now))
            least[left, used] = found
        return least[left, used]

    return price(names, (0,) * len(sticks))


@pytest.mark.parametrize("seed", range(8))
def test_several_lengths_and_offcuts_cost_as_little_as_any_way_to_cut_them(seed):
    random = Random(seed)
    cuts = [Cut(str(i), random.randrange(250, 1400) / 1000) for i in range(7)]
    sticks = [Stick(2.0, 8.0), Stick(3.0, 11.0), Stick(random.randrange(300, 1500) / 1000, None, 2)]
    found = cutting(cuts, sticks, KERF, seconds=30.0)
    whole(found, cuts, KERF)
    assert found.least == "price" and found.proven
    assert found.total == pytest.approx(every_way(cuts, sticks, KERF))
    assert sum(one.stick.in_hand for one in found.sticks) <= 2


def test_without_prices_the_least_length_is_bought():
    found = cutting(cuts_of((1.0, 3)), [Stick(2.0), Stick(3.2)], 0.0)
    assert (found.least, found.total, len(found.sticks)) == ("length", pytest.approx(3.2), 1)


def test_a_kerf_is_lost_between_two_cuts_and_not_at_the_end_of_a_stick():
    assert len(cutting(cuts_of((1.0, 3)), [Stick(3.006)], 0.003).sticks) == 1
    assert len(cutting(cuts_of((1.0, 3)), [Stick(3.005)], 0.003).sticks) == 2


def test_sixteenths_of_an_inch_are_exact():
    inch = 0.0254
    found = cutting(cuts_of((19.9375 * inch, 3)), [Stick(60.0625 * inch)], inch / 8)
    assert len(found.sticks) == 1 and found.sticks[0].left == 0.0


def test_a_cut_longer_than_every_stick_is_refused_by_its_name():
    with pytest.raises(CuttingError, match="riser / 1 is longer than every stick; wanted: two pieces and a coupling"):
        cutting([Cut("riser / 1", 3.2)], [Stick(3.0), Stick(2.0)], KERF)


def test_offcuts_that_do_not_suffice_are_told():
    with pytest.raises(CuttingError, match="sticks in hand do not suffice"):
        cutting(cuts_of((0.5, 3)), [Stick(0.6, None, 2)], KERF)


def test_nothing_wanted_is_nothing_bought():
    found = cutting([], [Stick(3.0)], KERF)
    assert found.sticks == () and found.total == 0.0 and found.proven

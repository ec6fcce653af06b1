"""A draft that is sure of every need: no band reaches below it, and what that costs is said. Shops are invented."""

from __future__ import annotations

import pytest

from engine.air.bands import bands
from engine.air.gate_sets import working_ports
from engine.search.layouts.drafting import drafted
from engine.search.layouts.proposing import drafts, in_words
from engine.search.layouts.sizes.sure import low_share, sure
from tests.shops.sound_shops import sound_shop


@pytest.fixture(scope="module")
def shop():
    return sound_shop(31).bare


def test_at_the_low_side_of_its_band_no_machine_lacks_what_it_needs(shop):
    *_, last = drafted(shop)
    made = sure(last.found[0])
    assert made.before < 1.0 <= made.now == low_share(made.draft.assessment) and made.price > 0
    found = made.draft.assessment
    for result, band in zip(found.sets, bands(found.design, found.tree, found.sets), strict=True):
        assert all(band[port].low >= state.needs for port, state in working_ports(result))
    assert made.price == pytest.approx(made.draft.standing.price - last.found[0].standing.price)


def test_where_no_bores_are_surer_it_stays_as_it_is():
    *_, last = drafted(sound_shop(11).bare)
    made = sure(last.found[0])
    assert made.before < 1.0 and made.draft is last.found[0] and made.price == 0.0
    assert in_words(made, made.draft.design).startswith("no surer bores were found")


def test_it_is_offered_last_and_only_where_it_is_asked_for(shop):
    (*_, plain), (*_, certain) = drafts(shop), drafts(shop, certain=True)
    assert not any(one.title.endswith(", sure") for one in plain.proposals)
    assert certain.proposals[-1].title == f"{certain.proposals[0].title}, sure"
    assert "at the low side of its band the neediest machine gets " in certain.proposals[-1].reason

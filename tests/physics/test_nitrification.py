"""Nitrification against temperature, beside published rates and a bound from memory."""

from __future__ import annotations

import math

import pytest

from thermal.physics.nitrification import nitrification_share


def test_it_is_what_a_cold_biofilm_had_left():
    """At 1 degC 0.18 +- 0.051 of the rate at 20 degC: Hoang et al. 2014, Water Research 49:215, abstract."""
    assert nitrification_share(1.0) / nitrification_share(20.0) == pytest.approx(0.18, abs=0.051)


def test_it_rises_as_a_salmon_and_a_trout_farm_found():
    """0.30 g N/m2 d at 9 degC and 0.45 at 12.5 degC in farms cited by Rusten et al. 2006 (seen in a later paper)."""
    assert nitrification_share(12.5) / nitrification_share(9.0) == pytest.approx(0.45 / 0.30, rel=0.15)


def test_at_most_half_at_ten_degrees():
    """FAO 589 section 5.2, from memory: half or less of the best at 10 degC."""
    assert nitrification_share(10.0) <= 0.5


@pytest.mark.parametrize(("share", "water_c"), [(0.5, 16.957), (0.25, 8.913)])
def test_half_and_a_quarter_by_hand(share, water_c):
    assert nitrification_share(water_c) == pytest.approx(share, rel=1e-3)
    assert water_c == pytest.approx(25.0 + math.log(share) / math.log(1.09), abs=1e-3)

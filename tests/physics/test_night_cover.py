"""Air under a cover over plants: its limits, and a heat balance written out."""

from __future__ import annotations

import pytest

from thermal.physics.night_cover import COVER_AREA, LEAK_W_PER_M2K, covered_air_share


def test_heat_from_the_bed_is_the_heat_lost_through_the_cover():
    """Closed form, no source: bed 10 degC under 0.05 m2K/W, room -9 degC, cover of 0.15 m2K/W."""
    under_c = -9.0 + float(covered_air_share(0.05, 0.15)) * 19.0
    gained = (10.0 - under_c) / (0.05 + 0.13)
    lost = COVER_AREA * (under_c + 9.0) * (1.0 / (0.13 + 0.15 + 0.13) + LEAK_W_PER_M2K)
    assert gained == pytest.approx(lost, rel=0.01)


def test_a_better_cover_is_warmer_and_a_raft_colder():
    assert float(covered_air_share(0.0, 1.0)) > float(covered_air_share(0.0, 0.1)) > float(covered_air_share(0.7, 0.1))
    assert 0.0 < float(covered_air_share(0.7, 0.0)) < float(covered_air_share(0.0, 5.0)) < 1.0

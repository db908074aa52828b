"""The F-factor of slabs."""

from __future__ import annotations

import pytest

from thermal.network.build import plan_envelope
from thermal.physics import perimeter_loss
from thermal.physics.constants import SEA_LEVEL_PA


def test_f_factors_of_the_standard():
    """ASHRAE 90.1-2010 table A6.3, unheated slabs, from memory: 0.73 bare, 0.54 with R-10 down the edge for 24 in."""
    assert float(perimeter_loss.perimeter_factor(0.0, 0.0)) / 1.7307 == pytest.approx(0.73)
    assert float(perimeter_loss.perimeter_factor(1.76, 0.0)) / 1.7307 == pytest.approx(0.54)
    assert float(perimeter_loss.perimeter_factor(0.0, 1.76)) / 1.7307 == pytest.approx(0.36)


def test_more_insulation_never_loses_more():
    edges = [float(perimeter_loss.perimeter_factor(r / 4.0, 0.5)) for r in range(20)]
    assert edges == sorted(edges, reverse=True)


def test_a_plan_may_ask_for_it(case_with):
    plan = case_with({"room.floor.method": "F-factor"}).plan
    by_perimeter, iso = (plan_envelope(one, SEA_LEVEL_PA) for one in (plan, case_with().plan))
    assert by_perimeter.floor_steady == pytest.approx(0.73 * 1.7307 * plan.room.perimeter_m, rel=0.03)
    assert (by_perimeter.ground_outdoor_share, iso.ground_outdoor_share) == (1.0, 0.0)

"""The split of a room's fabric: the steady conductance stays what it was."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import fabric_split


def test_the_inside_film_is_that_of_iso_6946():
    """ISO 6946:2017 table 7: 0.13 m2K/W for horizontal heat flow, 7.69 W/m2K."""
    assert float(fabric_split.air_fabric_conductance(1.0)) == pytest.approx(7.69, abs=0.005)


@given(st.lists(st.floats(0.5, 60.0), min_size=1, max_size=6), st.floats(1.0, 300.0))
def test_the_sides_take_all_of_it_between_them(sides, beyond):
    parts = [float(fabric_split.boundary_conductance(beyond, ua, sum(sides))) for ua in sides]
    assert sum(parts) == pytest.approx(beyond, rel=1e-12)

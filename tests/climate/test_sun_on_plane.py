"""The sun on a tilted plane: a wall and flat ground are its ends, and a plane square to the sun gets the direct sun."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.climate.incident_sun import HorizontalSun, Site, incident_sun, sun_angles, sun_on_plane
from thermal.core.facings import AZIMUTH_DEG, FACINGS

TIMES = pd.date_range("2020-01-15 07:30", periods=9, freq="h", tz="UTC")
ANGLES = sun_angles(TIMES, Site(48.0, 7.0, 300.0))


def clear_day():
    """600 W/m2 square to the sun and 80 W/m2 from the sky while the sun is up."""
    direct = np.where(ANGLES.zenith_deg < 88.0, 600.0, 0.0)
    on_ground = direct * np.maximum(np.cos(np.radians(ANGLES.zenith_deg)), 0.0)
    return HorizontalSun(on_ground + 80.0, direct, np.full(len(TIMES), 80.0))


@pytest.mark.parametrize("facing", ["south", "east", "north-west"])
def test_an_upright_plane_is_a_wall(facing):
    wall = incident_sun(TIMES, ANGLES, clear_day())[:, FACINGS.index(facing)]
    assert sun_on_plane(TIMES, ANGLES, clear_day(), 90.0, AZIMUTH_DEG[facing]) == pytest.approx(wall)


def test_a_level_plane_gets_what_the_ground_gets():
    """But for hours with the sun lower than 5 degrees, where the model of the sky holds the ratio of planes back."""
    plane, high = sun_on_plane(TIMES, ANGLES, clear_day(), 0.0, 180.0), ANGLES.zenith_deg < 85.0
    assert high.sum() == 7
    assert plane[high] == pytest.approx(clear_day().global_w_m2[high], rel=1e-6)


def test_a_plane_square_to_the_noon_sun_gets_all_direct_sun_and_some_of_the_sky():
    """Geometry: 600 W/m2; beside it at most three times the sky's 80 and a fifth of the ground's sun."""
    noon = int(np.argmin(ANGLES.zenith_deg))
    plane = sun_on_plane(TIMES, ANGLES, clear_day(), ANGLES.zenith_deg[noon], ANGLES.azimuth_deg[noon])[noon]
    assert 600.0 + 40.0 < plane < 600.0 + 3 * 80.0 + 0.2 * clear_day().global_w_m2[noon]

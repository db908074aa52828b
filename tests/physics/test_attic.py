"""The attic law against measured attics."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.physics import wall_resistance as walls
from thermal.physics.attic import ATTIC_ROOF, attic_factor


def test_the_attic_keeps_what_measured_attics_kept():
    """Six ventilated attics of Finnish houses over some 0.5 m of blown wool (0.042 W/mK, U 0.082), December to February
    2010-2012: 0.957, 0.932, 0.920, 0.912, 0.957, 0.934 of the outdoor difference (github.com/anssilaukkarinen/trh-1,
    CC BY 4.0). Roofs of 0.6 and 1.8 W/m2K lie on either side of the six."""
    measured = (0.957, 0.932, 0.920, 0.912, 0.957, 0.934)
    wool = 1.0 / (0.13 + 0.5 / 0.042 + 0.10)
    assert float(attic_factor(wool, 0.6)) < min(measured)
    assert float(attic_factor(wool, 1.8)) > max(measured) - 0.002
    assert float(attic_factor(wool)) == pytest.approx(np.mean(measured), abs=0.01)
    series = 0.13 + 2.0 + 0.10 + 1.0 / ATTIC_ROOF  # a ceiling and the roof behind it, one after the other
    assert float(walls.side_transmittance(2.0, "attic")) == pytest.approx(1.0 / series)

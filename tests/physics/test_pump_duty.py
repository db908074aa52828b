"""A pump that pauses: the law against the pulses themselves, integrated over many periods."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.physics.pump_duty import pulsed_conductance


@pytest.mark.parametrize(
    ("flow", "run_s", "period_s"), [(1700.0, 600.0, 3600.0), (90.0, 900.0, 3600.0), (400.0, 600.0, 900.0)]
)
def test_it_carries_what_the_pulses_carry(flow, run_s, period_s):
    """Bed of 0.6 MJ/K that loses 40 W to a tank of 4 MJ/K that is heated by 40 W, in steps of 2 s, 40 periods."""
    bed, tank, loss = 0.6e6, 4e6, 40.0
    bed_c, tank_c, step_s = 10.0, 12.0, 2.0
    difference, carried = [], []
    for step in range(int(40 * period_s / step_s)):
        on = step * step_s % period_s < run_s
        heat = flow * (tank_c - bed_c) * on
        if step >= 39 * period_s / step_s:
            difference.append(tank_c - bed_c)
            carried.append(heat)
        bed_c += (heat - loss) * step_s / bed
        tank_c += (loss - heat) * step_s / tank
    found = pulsed_conductance(flow, run_s, period_s, bed * tank / (bed + tank))
    assert found == pytest.approx(np.mean(carried) / np.mean(difference), rel=0.01)

"""One conductance for an air flow that runs in some hours, against hours one by one."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.physics.intermittent_air import intermittent_conductance


@pytest.mark.parametrize(
    ("m3_per_h", "hours", "allowed"), [(60.0, 4, 0.03), (100.0, 12, 0.03), (300.0, 4, 0.08), (100.0, 24, 1e-3)]
)
def test_a_day_brings_as_much_heat_as_minute_by_minute(m3_per_h, hours, allowed):
    """Air without capacity between a wall of 3 MJ/K, itself 60 W/K from outdoors at 0 degC, and outdoors by 40 W/K.

    Minute by minute (explicit Euler, 60 days until the days repeat), house air of 20 degC. At 300 m3/h the
    flow is as large as all that the room loses, and the light wall warms too: up to 8 % less heat than counted.
    """
    flow, to_wall, leak, wall_out = m3_per_h * 0.335, 500.0, 40.0, 60.0
    runs = (np.arange(1440) // 60 < hours).astype(float)
    wall_c, given_j, air_sum = 5.0, 0.0, 0.0
    for day in range(60):
        for minute in range(1440):
            through = flow * runs[minute]
            air_c = (to_wall * wall_c + through * 20.0) / (to_wall + leak + through)
            wall_c += 60.0 * (to_wall * (air_c - wall_c) - wall_out * wall_c) / 3e6
            if day == 59:
                given_j += 60.0 * through * (20.0 - air_c)
                air_sum += air_c
    conductance = float(intermittent_conductance(flow, hours / 24.0, to_wall + leak))
    assert 86400.0 * conductance * (20.0 - air_sum / 1440.0) == pytest.approx(given_j, rel=allowed)


def test_a_flow_that_always_runs_counts_whole():
    assert intermittent_conductance(33.5, 1.0, 400.0) == pytest.approx(33.5)
    assert intermittent_conductance(33.5, 0.5, 1e9) == pytest.approx(16.75, rel=1e-6)

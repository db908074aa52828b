"""Hourly output keeps what is asked for, and nothing else, so that many winters fit in memory."""

from __future__ import annotations

import numpy as np

from thermal.solver.results import HourlyOutput, OutputRequest
from thermal.solver.simulate import simulate

DRYER, FAN = {"capacity": "4 L/day", "power": "200 W"}, {"flow": "60 m3/h", "power": "15 W"}


def test_fields_asked_for_are_those_of_the_whole_output_and_others_have_no_rows(case_with):
    case = case_with({"climate.winters": [2016], "dehumidifier": DRYER, "fan": FAN})
    control = case.heaters(np.array([0.0, 800.0]))
    network = case.network.take(np.zeros(2, dtype=int))
    whole = simulate(network, case.forcing, control, 10.0, hourly_output=True).hourly_output
    request = OutputRequest(hourly=("water_c", "heater_w"))
    part = simulate(network, case.forcing, control, 10.0, hourly_output=True, request=request).hourly_output
    for name in HourlyOutput.__dataclass_fields__:
        if name in (*request.hourly, "start_c", "start_ice_j"):
            assert np.array_equal(getattr(part, name), getattr(whole, name)), name
        else:
            assert getattr(part, name).size == 0 < getattr(whole, name).size, name


def test_flows_take_half_the_memory_of_temperatures(case_with):
    """Single precision, in which they were worked out; temperatures stay double, a fit takes differences of them."""
    case = case_with({"climate.winters": [2016]})
    hourly = case.simulate(case.heaters(np.array([800.0])), hourly_output=True).hourly_output
    assert hourly.mean_c.dtype == hourly.water_c.dtype == np.float64
    assert hourly.latent_w.dtype == hourly.wall_w_per_k.dtype == np.float32


def test_a_snapshot_is_the_state_at_the_beginning_of_its_hour(case_with):
    """Each winter's own hour: the water then is that at the end of the hour before."""
    case = case_with({"climate.winters": [2016]})
    rows = case.weather.spin_up_h + np.array([[24 * 20], [24 * 50]])
    request = OutputRequest(snapshot_h=rows)
    control = case.heaters(np.array([0.0, 800.0]))
    network = case.network.take(np.zeros(2, dtype=int))
    run = simulate(network, case.forcing, control, 10.0, hourly_output=True, request=request)
    tank = case.network.nodes.index("tank")
    for snapshot, row in zip(run.snapshot_c, rows[:, 0], strict=True):
        before = run.hourly_output.water_c[row - 1 - case.weather.spin_up_h, -1]
        np.testing.assert_allclose(np.ravel(snapshot[tank]), before, atol=2e-3)

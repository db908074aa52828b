"""Columns that single precision cannot close are simulated again in double precision, and they alone."""

from __future__ import annotations

import numpy as np

from thermal.climate.heating_seasons import excerpt
from thermal.network.model import thermostat
from thermal.solver import simulate as solver
from thermal.solver.results import OutputRequest


def test_only_columns_that_do_not_close_are_simulated_in_double_precision(case_with, monkeypatch):
    """With the median of the closures as the limit, half of six columns: theirs are the figures of double precision."""
    case = case_with({"climate.winters": [2015, 2016]})
    network, control = case.network.take(np.zeros(3, dtype=int)), thermostat(11.0, np.array([0.0, 300.0, 1e9]))
    forcing = excerpt(case.weather, np.array([0, 1]), np.array([2400, 2400]), 240)
    start_c = np.full((len(network.nodes), 3, 2), 8.0) + np.arange(6.0).reshape(3, 2)
    request, columns = OutputRequest(hourly_columns=4), solver._every_column(3, 2)
    given = network, forcing, control, 10.0, 1, True, start_c, request, columns
    single, double = (solver._simulate_in(*given, precision) for precision in (np.float32, float))
    limit = float(np.median(single.closure))
    assert double.closure.max() < limit
    monkeypatch.setattr(solver, "CLOSURE_LIMIT", limit)
    mixed = solver.simulate(network, forcing, control, 10.0, hourly_output=True, start_c=start_c, request=request)
    again = ~(single.closure < limit)
    assert again.sum() == 3
    for name in ("coldest_c", "heater_j", "hours_below", "closure"):
        of_single, of_double = getattr(single, name), getattr(double, name)
        np.testing.assert_allclose(getattr(mixed, name), np.where(again, of_double, of_single), rtol=1e-12)
    for name in ("mean_c", "water_c", "heater_w"):
        of_single, of_double = (getattr(run.hourly_output, name) for run in (single, double))
        assert np.abs(of_single - of_double).max() > 0.0  # or the next line could not fail
        expected = np.where(again.ravel()[:4], of_double, of_single)
        np.testing.assert_allclose(getattr(mixed.hourly_output, name), expected, rtol=0.0, atol=1e-12)

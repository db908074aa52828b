"""Designs of many columns, simulated apart: the same answer as together, from fewer columns."""

from __future__ import annotations

import numpy as np

from thermal.analysis import design_results
from thermal.analysis.case import group_by_topology
from thermal.analysis.heater_sizing import size_heaters
from thermal.analysis.winter_totals import price_weights
from thermal.plan.reader import variant


def test_heaters_needed_run_only_where_they_are_too_small_for_what_was_taken(case_with, monkeypatch):
    case = case_with({"climate.coldest_night": "none", "climate.sky": False})
    plans = [case.plan, variant(case.plan, {"tank.top": "snug foam lid", "tank.insulation": "XPS 50 mm"})]
    (batch,) = group_by_topology(plans, case.weather)
    given = case, batch, size_heaters(batch, None), design_results.NO_SAMPLES, price_weights(case)[None], False
    widths, simulate = [], design_results._simulate_columns

    def spy(batch, sizing, columns, watts, request, in_pieces):
        widths.append(len(watts))
        return simulate(batch, sizing, columns, watts, request, in_pieces)

    monkeypatch.setattr(design_results, "_simulate_columns", spy)
    together, margins = design_results._through_winters(*given)
    monkeypatch.setattr(design_results, "BLOCK_COLUMNS", 1)
    apart, margins_apart = design_results._through_winters(*given)
    np.testing.assert_allclose(margins_apart, margins, atol=1e-5)
    for name in ("heater_j", "coldest_c", "peak_w", "damp_h", "weighted_j"):
        np.testing.assert_allclose(getattr(apart.run, name), getattr(together.run, name), rtol=1e-6, atol=1e-6)
    np.testing.assert_allclose(apart.outage_h, together.outage_h)
    whole, first, rest = widths
    assert whole == 2 * first  # each design in each winter with the heater to buy, and with the one needed
    assert 0 < rest < first  # where all that was taken is no more than the heater needed, it is not simulated

"""A log with a gap: each stretch is simulated by itself, from what its sensors read at its beginning."""

from __future__ import annotations

import numpy as np
import pandas as pd

from thermal.analysis.calibration import nuisance_of, nuisance_prior_sd
from thermal.analysis.case import SimulationCase, hours_of
from thermal.analysis.log_simulation import SETTLE_H, log_problem, simulate_log
from thermal.climate.logger_csv import Log

FIRST_DAY, GAP = 75, slice(7 * 24, 12 * 24)


def unheated_log(case: SimulationCase) -> Log:
    """Three weeks of the plan itself, without a heater: its water follows the weather."""
    run = case.simulate(case.heaters(np.array([0.0])), hourly_output=True)
    hours, part = hours_of(case, run, 0, 0), slice(24 * FIRST_DAY, 24 * (FIRST_DAY + 21))
    tank = hours.hourly_output.water_c[:, -1, hours.column]
    return Log(
        times=case.weather.winters[0].times()[part],
        outdoor_c=hours.outdoor_c[part],
        room_c=hours.mean(case.network.nodes.index("air"))[part],
        water_c=(0.5 * (tank + np.append(tank[0], tank[:-1])))[part],
        heater_w=np.zeros(21 * 24),
    )


def off_by_k(case: SimulationCase, log: Log, hours: slice) -> float:
    """Largest error of the water in some hours."""
    problem = log_problem(case, log)
    water, _, _, _ = simulate_log(problem, [case.plan], nuisance_of(np.zeros((1, len(nuisance_prior_sd(problem))))))
    return float(np.abs(water[hours, 0] - log.water_c[hours]).max())


def test_a_stretch_after_a_gap_begins_with_what_its_sensors_read(case_with):
    case = case_with({"climate.winters": [2016]})
    whole = unheated_log(case)
    kept = np.ones(len(whole.times), dtype=bool)
    kept[GAP] = False
    columns = [getattr(whole, name)[kept] for name in ("outdoor_c", "room_c", "water_c", "heater_w")]
    split = Log(whole.times[kept], *columns)
    glued = Log(pd.date_range(whole.times[0], periods=int(kept.sum()), freq="h"), *columns)
    assert [(part.start, part.stop) for part in split.stretches()] == [(0, 168), (168, 168 + 9 * 24)]
    assert abs(whole.water_c[GAP.start - 1] - whole.water_c[GAP.stop]) > 5.0  # else there is nothing to see
    after = slice(168, 168 + 3)
    assert off_by_k(case, split, after) < 0.5
    assert off_by_k(case, glued, after) > 5.0
    problem = log_problem(case, split)
    compared = {*problem.fitted_rows.tolist(), *problem.held_out_rows.tolist()}
    assert compared == set(range(len(split.times))) - set(range(SETTLE_H)) - set(range(168, 168 + SETTLE_H))

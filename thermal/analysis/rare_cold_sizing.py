"""The heater needed in the winters as recorded, and in a rare cold spell that they do not contain."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.case import Batch
from thermal.analysis.heater_sizing import ROUNDING_K, UNLIMITED_W, Sizing, size_on_cold_spells, verify_on_winters
from thermal.climate.heating_seasons import Weather
from thermal.core.parallel import SerialExecutor
from thermal.network.model import Control
from thermal.solver.simulate import simulate_parallel


def size_heaters(batch: Batch, design: Weather | None) -> Sizing:
    """The heater that keeps the minimum of each design; not yet verified on whole winters as recorded.

    Parameters
    ----------
    batch : Batch
        The designs, in the winters as recorded.
    design : Weather or None
        Some weeks with a rare cold spell; None where the winters alone are sized for.

    Returns
    -------
    Sizing
        The larger power of both. Thermostat and unlimited heat are those of the winters as recorded, so that energy and
        cost do not depend on the rare cold spell.
    """
    recorded = size_on_cold_spells(batch)
    if design is None:
        return recorded
    cold = _in_rare_cold(replace(batch, weather=design))
    return replace(
        recorded,
        needed_w=np.maximum(recorded.needed_w, cold.needed_w),
        rare_setpoint_c=np.maximum(recorded.setpoint_c, cold.setpoint_c),
    )


def _in_rare_cold(batch: Batch) -> Sizing:
    """The heater that keeps the minimum of each design in the rare cold spell, verified on all its weeks."""
    sizing = size_on_cold_spells(batch)
    known = np.isfinite(sizing.needed_w)
    watts = np.where(known, sizing.needed_w, UNLIMITED_W)
    control = Control(sizing.setpoint_c, watts, np.zeros(len(watts)))
    run = simulate_parallel(batch.network, batch.weather.forcing, control, batch.floor_c, executor=SerialExecutor())
    margins = np.where(known, run.coldest_c.min(axis=1) - batch.floor_c + ROUNDING_K, 0.0)
    return verify_on_winters(batch, sizing, margins)

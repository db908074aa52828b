"""Designs simulated in the recorded winters and in the weeks with a rare cold spell side by side.

A simulation of few columns costs the same for each hour however many they are. So one of both weathers takes the time
of the winters alone.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from thermal.analysis.case import SimulationCase
from thermal.climate.forcing import Forcing, join_forcings, lengthen
from thermal.core.arrays import Array
from thermal.network.model import Control, Network
from thermal.solver.results import HourlyOutput, OutputRequest, SimulationResult
from thermal.solver.simulate import simulate


def simulate_in_both(
    case: SimulationCase, network: Network, control: Control, rare_setpoint_c: Array, hourly_designs: int
) -> tuple[SimulationResult, SimulationResult | None]:
    """Simulation of some designs in the winters, and in the weeks with a rare cold spell.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    network : Network
        One column for each design.
    control : Control
        The heater of each design.
    rare_setpoint_c : Array, shape (24, design)
        Thermostats in the rare cold spell [degC].
    hourly_designs : int
        Number of designs, the first ones, of which every hour is kept; at least one.

    Returns
    -------
    recorded : SimulationResult
        In the winters as recorded.
    in_rare_cold : SimulationResult or None
        In the weeks with the rare cold spell; None where there are none. Its hours go on beyond the end of the weeks.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    recorded, weeks = case.forcing, None if case.design is None else case.design.forcing
    winters = len(recorded.end_h)
    parts = [(np.arange(hourly_designs), winters), (np.arange(hourly_designs, network.designs), winters)]
    design = [np.repeat(designs, count) for designs, count in parts]
    winter = [np.tile(np.arange(count), len(designs)) for designs, count in parts]
    rare = [np.zeros(len(column), dtype=bool) for column in design]
    if weeks is not None:  # hourly designs first, in both weathers, so that their hours are views of one array
        design = [design[0], parts[0][0], design[1], parts[1][0]]
        winter = [winter[0], np.full(hourly_designs, winters), winter[1], np.full(len(parts[1][0]), winters)]
        rare = [rare[0], np.ones(hourly_designs, dtype=bool), rare[1], np.ones(len(parts[1][0]), dtype=bool)]
    index, in_rare_cold = np.concatenate(design), np.concatenate(rare)
    own = control.take(index)
    setpoint_c = np.where(in_rare_cold, rare_setpoint_c[:, index], own.setpoint_c)
    run = simulate(
        network.take(index),
        _side_by_side(recorded, weeks),
        replace(own, setpoint_c=setpoint_c),
        case.plan.keep.floor_c,
        hourly_output=True,
        request=OutputRequest(hourly_columns=len(design[0]) + (hourly_designs if weeks is not None else 0)),
        winter=np.concatenate(winter),
    )
    hours = slice(0, len(design[0])), slice(len(design[0]), len(design[0]) + hourly_designs)
    whole = _part(run, np.flatnonzero(~in_rare_cold), winters, hours[0])
    return whole, None if weeks is None else _part(run, np.flatnonzero(in_rare_cold), 1, hours[1])


def _side_by_side(recorded: Forcing, weeks: Forcing | None) -> Forcing:
    """The winters, and the weeks as one more winter."""
    if weeks is None:
        return recorded
    hours, marks = len(recorded.outdoor_c), max(len(recorded.marks), len(weeks.marks))
    return join_forcings([lengthen(forcing, hours, marks) for forcing in (recorded, weeks)])


def _part(run: SimulationResult, index: Array, winters: int, hours: slice) -> SimulationResult:
    """Results of some columns by design and winter; of the hourly output those of a slice."""
    arrays: dict[str, Any] = {}
    for name, values in vars(run).items():
        if isinstance(values, np.ndarray):
            arrays[name] = values[..., index, 0].reshape(*values.shape[:-2], len(index) // winters, winters)
    assert run.hourly_output is not None
    hourly = {  # of one column where all designs have the same: without leaks, for example
        name: values if values.shape[-1] == 1 else values[..., hours]
        for name, values in vars(run.hourly_output).items()
    }
    return SimulationResult(**arrays, hourly_output=HourlyOutput(**hourly))

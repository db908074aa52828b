"""Hours from a power cut to the minimum water temperature, for many designs at once.

The figure is that of `outage`: the shortest time over all power cuts that start at the coldest hour of a day, from the
state that the installed heaters left, linear between hours. Here only the cuts in the coldest weather are simulated.
"""

from __future__ import annotations

import numpy as np

from thermal.analysis.case import Batch, group_by_topology
from thermal.analysis.unpowered_plan import HORIZON_H, mix_drained_beds, without_power
from thermal.climate.cold_spells import coldest_cuts
from thermal.climate.heating_seasons import Weather, excerpt
from thermal.core.arrays import Array
from thermal.core.parallel import SerialExecutor
from thermal.network.model import Control
from thermal.solver.results import OutputRequest
from thermal.solver.simulate import simulate, simulate_parallel

LEAD_H = 72  # simulated with the heaters present before the day of a power cut


def snapshot_rows(weather: Weather) -> Array:
    """Rows at which the simulation of whole winters keeps its temperatures, shape (cut, winter); -1 for none."""
    cuts = coldest_cuts(weather)
    rows = np.full((len(cuts), len(weather.winters)), -1)
    for number, (winter, hour) in enumerate(cuts):
        rows[number, winter] = weather.spin_up_h + hour // 24 * 24 - LEAD_H
    return rows


def hours_to_minimum(batch: Batch, setpoint_c: Array, installed_w: Array, snapshot_c: Array) -> Array:
    """Shortest time from a power cut until the tank is at its minimum, infinite if longer than a week, (design,). [h]

    Parameters
    ----------
    batch : Batch
        The designs.
    setpoint_c : Array, shape (24, design)
        Thermostat by local hour [degC].
    installed_w : Array, shape (design,)
        Power of the heaters owned, or else of those to buy [W].
    snapshot_c : Array, shape (cut, node, design, winter)
        Temperatures at the `snapshot_rows` [degC]; NaN in winters that a design was not simulated in, whose power cuts
        are left out. Each design has one at least.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    weather, cuts = batch.weather, coldest_cuts(batch.weather)
    winters, hours = (np.array(column) for column in zip(*cuts, strict=True))
    rows = weather.spin_up_h + hours
    kept = np.stack([snapshot_c[number, ..., winter] for number, winter in enumerate(winters)], axis=-1)
    simulated = np.isfinite(kept).all(axis=0)  # (design, cut)
    first = kept[:, np.arange(len(batch.plans)), simulated.argmax(axis=1), None]
    kept = np.where(simulated, kept, first)  # in place of the others, which are not counted
    at_cut = _at_cut(batch, Control(setpoint_c, installed_w, np.zeros(len(installed_w))), rows, winters, kept)
    shortest = np.full(len(batch.plans), np.inf)
    for group in group_by_topology(batch.plans, weather, without_power):
        order = [batch.network.nodes.index(name) for name in group.network.nodes]
        begin = at_cut[order][:, group.positions]
        if "bed" in group.network.nodes:
            tank, bed = group.network.nodes.index("tank"), group.network.nodes.index("bed")
            for i, plan in enumerate(group.plans):
                begin[tank, i] = mix_drained_beds(plan, begin[tank, i], begin[bed, i])
        off = Control(np.zeros((24, len(group.plans))), np.zeros(len(group.plans)), np.zeros(len(group.plans)))
        run = simulate_parallel(
            group.network,
            excerpt(weather, winters, rows, HORIZON_H),
            off,
            group.floor_c,
            start_c=begin,
            request=OutputRequest(first_below=True),
            executor=SerialExecutor(),
        )
        counted = np.where(simulated[group.positions], run.first_below_h, np.inf)
        shortest[group.positions] = counted.min(axis=1)
    return shortest


def _at_cut(batch: Batch, control: Control, rows: Array, winters: Array, kept_c: Array) -> Array:
    """Temperatures just before each power cut, with the installed heaters on, shape (node, design, cut). [degC]"""
    lead_h = LEAD_H + 24
    forcing = excerpt(
        batch.weather, winters, (rows - batch.weather.spin_up_h) // 24 * 24 + batch.weather.spin_up_h - LEAD_H, lead_h
    )
    wanted = OutputRequest(hourly=("mean_c", "water_c"))
    run = simulate(batch.network, forcing, control, batch.floor_c, start_c=kept_c, hourly_output=True, request=wanted)
    assert run.hourly_output is not None
    last = LEAD_H + rows % 24 - 1
    shape = lead_h, -1, len(batch.plans), len(rows)
    mean, water = (np.reshape(values, shape) for values in (run.hourly_output.mean_c, run.hourly_output.water_c))
    cut = np.arange(len(rows))
    begin = np.moveaxis(mean[last, :, :, cut], 0, -1)
    nodes = list(batch.network.vessels.water_nodes) if batch.network.vessels else []
    begin[nodes] = np.moveaxis(water[last, :, :, cut], 0, -1)
    return begin

"""Every hour of a small batch, for charts, months and paths."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from thermal.air import Array


@dataclass(frozen=True)
class Trace:
    """Hourly values after the spin-up; arrays of shape (hour, ..., column).

    Temperatures, humidity and ice are those at the end of the hour; flows are the hour's means. Columns run
    design by design, winter within design. `step.snapshot` keeps the same order.
    """

    temperature_c: Array  # (hour, node, column)
    heater_w: Array
    ratio: Array
    latent_w: Array  # (hour, vessel, column)
    longwave_w: Array
    convection_w_per_k: Array
    wall_w_per_k: Array
    evaporation_kg_s: Array
    condensing_w: Array
    leak_w_per_k: Array
    ice_j: Array  # (hour, lump, column)
    start_c: Array  # (node, column): before the first hour
    start_ice_j: Array  # (lump, column)


def traced(kept: list[tuple[Array, ...]], substeps: int, start_c: Array, start_ice_j: Array) -> Trace:
    """A trace from the snapshots of every step, averaged to hours."""
    hours = {}
    for place, one in enumerate(fields(Trace)[: len(kept[0])]):
        steps = np.stack([row[place] for row in kept])
        hours[one.name] = steps.reshape(-1, substeps, *steps.shape[1:]).mean(axis=1) if substeps > 1 else steps
    return Trace(**hours, start_c=start_c, start_ice_j=start_ice_j)

"""Vapour that plants and other gains give to the air, and the heat that the air gives for it."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array
from thermal.plan.model import Plan


def transpired_kg_s(plan: Plan) -> Array:
    """Vapour that the plants of all beds give to the air, by local hour, (24, 1). [kg/s]"""
    by_bed = np.array([bed.transpiration_kg_s for bed in plan.beds], dtype=float).reshape(-1, 24)
    return np.asarray(by_bed.sum(axis=0)[:, None])


def gained_kg_s(plan: Plan) -> Array:
    """Vapour that other gains give to the air of the room, by local hour, (24, 1). [kg/s]"""
    by_load = np.array([load.vapour_kg_s * np.array(load.hours) for load in plan.loads], dtype=float).reshape(-1, 24)
    return np.asarray(by_load.sum(axis=0)[:, None])


def vapour_heat_w(plan: Plan) -> Array:
    """Heat that the air of the room gives to melt and evaporate it, by local hour, (24,). [W]"""
    heats = [load.vapour_heat_j_per_kg * load.vapour_kg_s * np.array(load.hours) for load in plan.loads]
    return np.asarray(np.array(heats, dtype=float).reshape(-1, 24).sum(axis=0))

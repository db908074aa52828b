"""Barrels of a plan in its network: one node of water outside the circuit, which may freeze."""

from __future__ import annotations

from thermal.network.pipes import air_around
from thermal.physics.wall_resistance import film_conductance, vessel_base_resistance
from thermal.plan.model import Plan

BARREL = "barrel"  # name of the node


def barrel_air(plan: Plan) -> str:
    """Node of the air around the barrels of a plan: "hut" or "air"."""
    inside = any(barrel.where == "system" for barrel in plan.barrels)
    return air_around(plan) if inside else "air"


def air_conductance(plan: Plan) -> float:
    """Conductance from the barrels' water through walls and tops to the air around them. [W/K]"""
    return sum(float(film_conductance(barrel.in_air_m2, barrel.wall_r_m2k_per_w)) for barrel in plan.barrels)


def floor_conductance(plan: Plan) -> float:
    """Conductance from the barrels' water through their bottoms to the slab. [W/K]"""
    return sum(
        barrel.bottom_m2 / float(vessel_base_resistance(barrel.wall_r_m2k_per_w, "slab")) for barrel in plan.barrels
    )


def barrel_m3(plan: Plan) -> float:
    """Water in all barrels of a plan. [m3]"""
    return sum(barrel.water_m3 for barrel in plan.barrels)

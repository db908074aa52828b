"""What each part of water and room loses for each kelvin, as the plan says it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from thermal.network.build import base_conductance, plan_envelope
from thermal.physics.moist_air import CP_AIR, SEA_LEVEL_PA
from thermal.physics.wall_resistance import R_INSIDE
from thermal.plan.model import Plan, Vessel


class Part(NamedTuple):
    """One way for heat to leave the water or the room: what it is of, and its conductance."""

    name: str
    area_m2: float | None
    build: str
    to: str
    w_per_k: float


def water_parts(plan: Plan) -> Iterator[Part]:
    """Surface, walls and bottom of every vessel; the surface without evaporation, which depends on the weather."""
    given = plan.room.temperature_c is not None
    for one in plan.tanks + plan.beds:
        name = vessel_name(one)
        film = R_INSIDE["up"] + one.lid_r_m2k_per_w
        yield Part(f"{name}: water surface, without evaporation", one.surface_m2, one.top, "air", one.surface_m2 / film)
        wall = R_INSIDE["horizontal"] + one.wall_r_m2k_per_w
        yield Part(f"{name}: walls", one.wall_m2, one.insulation, "air", one.wall_m2 / wall)
        yield Part(f"{name}: bottom", one.bottom_m2, "", one.base, base_conductance(one, given))


def room_parts(plan: Plan) -> Iterator[Part]:
    """Sides, air change and floor of the room; none where its air is given."""
    room, envelope = plan.room, plan_envelope(plan, SEA_LEVEL_PA)
    if envelope is None:
        return
    for side, path in zip(room.sides, envelope.sides, strict=True):
        yield Part(side.name, side.area_m2, side.build, side.faces, path.ua_w_per_k)
    change = f"{room.air_changes_per_h:g} per hour ({room.leakiness})"
    yield Part("air change", None, change, "outdoors", envelope.change_kg_s * CP_AIR)
    yield Part("floor", room.floor_m2, room.floor.build, "ground", envelope.floor_steady)


def vessel_name(vessel: Vessel) -> str:
    """A vessel as it is listed, with how many of it there are."""
    return vessel.name + (f" ×{vessel.count}" if vessel.count > 1 else "")

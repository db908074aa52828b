"""Heat loss of each part of water and room for each degree, from the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from thermal.analysis.plan_words import air_changes_text
from thermal.network.build import plan_envelope
from thermal.network.pipes import mean_conductance
from thermal.network.vessel_sides import base_conductance, buried_wall_conductance, side_conductance
from thermal.physics.constants import SEA_LEVEL_PA
from thermal.physics.infiltration import air_change_conductance
from thermal.physics.wall_resistance import film_conductance
from thermal.plan.model import Plan
from thermal.plan.structure import Vessel


class Part(NamedTuple):
    """One path by which heat leaves the water or the room.

    Attributes
    ----------
    name : str
        The part.
    area_m2 : float or None
        Its area [m2]; None for the air change and thermal bridges.
    build : str
        What it is made of.
    to : str
        Where the heat goes.
    w_per_k : float
        Its conductance [W/K].
    """

    name: str
    area_m2: float | None
    build: str
    to: str
    w_per_k: float


def water_parts(plan: Plan) -> Iterator[Part]:
    """Surface, walls and bottom of each vessel; the surface without evaporation, which depends on the weather."""
    given = plan.room.temperature_c is not None
    for vessel in plan.tanks + plan.beds:
        name = vessel_name(vessel)
        for part, what in zip(vessel.parts, ("water surface", "opening in its cover"), strict=False):
            surface = float(film_conductance(part.surface_m2, part.lid_r_m2k_per_w, "up"))
            yield Part(f"{name}: {what}, without evaporation", part.surface_m2, part.top, "air", surface)
        wall = float(film_conductance(vessel.wall_m2, vessel.wall_r_m2k_per_w))
        yield Part(f"{name}: walls", vessel.wall_m2, vessel.insulation, "air", wall)
        for side in vessel.elsewhere:
            below = side.faces == "ground"
            conductance = buried_wall_conductance(vessel, plan.room.floor) if below else side_conductance(side)
            yield Part(f"{name}: {side.name}", side.area_m2, vessel.insulation, side.faces, conductance)
        bottom = base_conductance(vessel, plan.room.floor, given)
        yield Part(f"{name}: bottom", vessel.bottom_m2, "", vessel.base, bottom)
    for pipe in plan.pipes:
        area = math.pi * pipe.outer_m * pipe.length_m
        yield Part(f"{pipe.name}: {_pump_hours(plan)}", area, pipe.insulation, "air", mean_conductance(plan, pipe))


def _pump_hours(plan: Plan) -> str:
    """When the pipes lose heat: only while the pump moves water."""
    share = plan.pump.circulating_share
    if share <= 0.0:
        return "no heat lost, the pump is off or its flow is 0"
    return "pump always on" if share >= 1.0 else f"mean of the day, pump on {24.0 * share:.3g} h"


def room_parts(plan: Plan) -> Iterator[Part]:
    """Sides, air change and floor of the room; none where the air of the room is given."""
    room, envelope = plan.room, plan_envelope(plan, SEA_LEVEL_PA)
    if envelope is None:
        return
    for side, path in zip(room.sides, envelope.sides, strict=True):
        yield Part(side.name, side.area_m2, side.build, side.faces, path.ua_w_per_k - path.bridges_w_per_k)
    if bridges := sum(path.bridges_w_per_k for path in envelope.sides):
        yield Part("thermal bridges", None, room.bridges, "outdoors", bridges)
    change = air_changes_text(room)
    yield Part("air change", None, change, "outdoors", float(air_change_conductance(envelope.mean_change_kg_s)))
    yield Part("floor", room.floor_m2, room.floor.build, "ground", envelope.floor_steady)


def vessel_name(vessel: Vessel) -> str:
    """Name of a vessel for lists, with the number of vessels if there are several."""
    return vessel.name + (f" ×{vessel.count}" if vessel.count > 1 else "")

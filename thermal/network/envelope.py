"""The room's conductances, worked out from its sides, floor and leaks: one small table of W/K.

Sides keep their steady UA exactly: the fabric node lies behind the inside film, and what lies beyond it is
whatever leaves the sum right (the split of ISO 13790:2008 section 12.2.2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermal import data
from thermal.physics import ground, moist_air
from thermal.physics.evaporation import LEWIS_TWO_THIRDS
from thermal.physics.infiltration import air_change_flow
from thermal.physics.wall_resistance import INSIDE_CONVECTIVE_FILM_W_PER_M2K, R_INSIDE, R_OUTSIDE
from thermal.plan.model import Room, Side

ATTIC_FACTOR = 0.9  # share of the outdoor difference a vented attic keeps, ISO 13789 b_u (from memory)
R_BEYOND = {"outdoors": R_OUTSIDE, "house": 0.13, "attic": 0.10, "ground": 0.0}
SLAB_FINISH_R = 0.05  # m2K/W between slab surface and its middle; the rest of a floor's R lies under it
SOIL_LAYER_M = 0.5  # soil that follows the room within a winter, ISO 52016-1:2017 section 6.5.8.2 (from memory)
LIGHT_WALL_M = 0.15  # wall thickness in the ground formulas, a light garage
AIR_PER_OPENING = 0.5  # share of the room's air that one opening of a large door changes; our judgement
REFERENCE_AIR_C = 10.0  # temperature at which the air's density is taken


@dataclass(frozen=True)
class SidePath:
    """One side's steady conductance, films included [W/K], and where it leads."""

    name: str
    faces: str
    ua_w_per_k: float
    u_w_per_m2k: float


@dataclass(frozen=True)
class Envelope:
    """The room's lumped conductances [W/K], capacities [J/K] and air [kg, kg/s]."""

    sides: tuple[SidePath, ...]
    air_fabric: float
    fabric_beyond: float  # from the fabric node to all boundaries together
    fabric_capacity: float
    air_mass_kg: float
    change_kg_s: float
    leak_cm2: float
    floor_steady: float  # H of ISO 13370, room air to outdoors
    air_slab: float
    slab_capacity: float
    slab_soil: float
    soil_capacity: float
    soil_ground: float
    ground_swing_share: float  # H_pe / H
    ground_lag_months: float
    coldest_side: str
    coldness: float
    condensing_kg_s: float

    def beyond(self, *faces: str) -> float:
        """Fabric's conductance to the boundaries named. [W/K]"""
        total = sum(side.ua_w_per_k for side in self.sides)
        part = sum(side.ua_w_per_k for side in self.sides if side.faces in faces)
        return self.fabric_beyond * part / total if total else 0.0


def side_path(side: Side) -> SidePath:
    """Steady conductance of a side with its films; an attic keeps part of the difference."""
    factor = ATTIC_FACTOR if side.faces == "attic" else 1.0
    u = factor / (R_INSIDE["horizontal"] + side.r_m2k_per_w + R_BEYOND[side.faces])
    return SidePath(side.name, side.faces, u * side.area_m2, u)


def room_envelope(room: Room, covered_m2: float, pressure_pa: float) -> Envelope:
    """The room's conductances.

    Parameters
    ----------
    covered_m2 : float
        Floor that vessels stand on: it meets them instead of the air.
    """
    sides = tuple(side_path(side) for side in room.sides)
    area = sum(side.area_m2 for side in room.sides)
    film = area / R_INSIDE["horizontal"]
    ua = sum(side.ua_w_per_k for side in sides)
    outer = [(path, side) for path, side in zip(sides, room.sides, strict=True) if side.faces in ("outdoors", "attic")]
    coldest, its_side = max(outer, key=lambda pair: pair[0].u_w_per_m2k, default=(None, None))
    density = float(moist_air.dry_air_density(REFERENCE_AIR_C, 0.0, pressure_pa))
    changes = room.air_changes_per_h + AIR_PER_OPENING * room.door_openings_per_day / 24.0
    return Envelope(
        sides=sides,
        air_fabric=film,
        fabric_beyond=1.0 / (1.0 / ua - 1.0 / film),
        fabric_capacity=sum(side.area_m2 * side.mass_j_per_m2k for side in room.sides),
        air_mass_kg=density * room.volume_m3,
        change_kg_s=density * float(air_change_flow(changes, room.volume_m3)),
        leak_cm2=room.leakage_area_cm2,
        **_ground(room, covered_m2),
        coldest_side=coldest.name if coldest else "",
        coldness=coldest.u_w_per_m2k * R_INSIDE["horizontal"] if coldest else 0.0,
        condensing_kg_s=its_side.area_m2 * INSIDE_CONVECTIVE_FILM_W_PER_M2K / (moist_air.CP_AIR * LEWIS_TWO_THIRDS)
        if its_side
        else 0.0,
    )


def _ground(room: Room, covered_m2: float) -> dict[str, float]:
    """Slab, soil layer and the rest of the ground."""
    k, capacity = data.soils()[room.floor.soil]
    soil = ground.Soil(k, capacity)
    area, perimeter, r = room.floor_m2, room.perimeter_m, room.floor.r_m2k_per_w
    edge = (room.floor.edge_r_m2k_per_w, room.floor.edge_depth_m)
    h = area * ground.floor_transmittance(area, perimeter, r, soil, LIGHT_WALL_M)
    if edge[0] > 0:
        h += perimeter * ground.edge_correction(r, *edge, soil, wall_m=LIGHT_WALL_M)
    swing = ground.outdoor_swing_conductance(perimeter, r, soil, *edge, wall_m=LIGHT_WALL_M)
    to_slab = ground.R_FLOOR_INSIDE + min(r, SLAB_FINISH_R)
    to_soil = max(r - SLAB_FINISH_R, 0.0) + 0.5 * SOIL_LAYER_M / k
    rest = max(area / h - to_slab - to_soil, 0.5 * SOIL_LAYER_M / k)
    return {
        "floor_steady": h,
        "air_slab": max(area - covered_m2, 0.1 * area) / to_slab,
        "slab_capacity": area * room.floor.mass_j_per_m2k,
        "slab_soil": area / to_soil,
        "soil_capacity": area * SOIL_LAYER_M * capacity,
        "soil_ground": area / rest,
        "ground_swing_share": swing / h,
        "ground_lag_months": ground.swing_lag_months(r, soil, LIGHT_WALL_M),
    }


def ground_season(envelope: Envelope, amplitude_k: float) -> tuple[float, float]:
    """Ground heat into the soil node by the yearly wave: its cosine and sine parts. [W]

    The wave is counted from the coldest time outdoors; the ground trails it by `ground_lag_months`.
    """
    phase = 2.0 * math.pi * envelope.ground_lag_months / 12.0
    amplitude = -envelope.soil_ground * envelope.ground_swing_share * amplitude_k
    return amplitude * math.cos(phase), amplitude * math.sin(phase)

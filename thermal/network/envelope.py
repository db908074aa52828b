"""Conductances of the room from its sides, floor and leaks.

The steady conductance of the sides is kept exactly: the fabric node lies behind the inside film
(`thermal.physics.fabric_split`).
"""

from __future__ import annotations

from dataclasses import dataclass

from thermal.physics import fabric_split, ground
from thermal.physics.condensation import condensing_conductance, surface_drop_share
from thermal.physics.infiltration import air_change_flow, door_air_changes
from thermal.physics.moist_air import dry_air_density
from thermal.physics.perimeter_loss import perimeter_conductance, perimeter_factor
from thermal.physics.wall_resistance import bare_floor_area, side_transmittance, slab_resistance
from thermal.plan.structure import Room, Side

LIGHT_WALL_M = 0.15  # wall thickness in the ground equations, for a light garage wall
REFERENCE_AIR_C = 10.0  # temperature for the density of the room's air


@dataclass(frozen=True)
class SidePath:
    """Steady conductance of one side of the room, films and thermal bridges included.

    Attributes
    ----------
    name : str
        Name of the side in the plan.
    faces : str
        What lies behind it: "outdoors", "attic", "house" or "ground".
    ua_w_per_k : float
        Conductance of the whole side [W/K].
    u_w_per_m2k : float
        Transmittance of the side itself [W/m2K].
    bridges_w_per_k : float
        The part of `ua_w_per_k` that thermal bridges add [W/K].
    """

    name: str
    faces: str
    ua_w_per_k: float
    u_w_per_m2k: float
    bridges_w_per_k: float


@dataclass(frozen=True)
class Envelope:
    """Lumped conductances [W/K], heat capacities [J/K] and air of the room.

    Attributes
    ----------
    sides : tuple of SidePath
        Each side of the room.
    air_fabric : float
        Room air to fabric node [W/K].
    fabric_beyond : float
        Fabric node to everything behind the sides together [W/K].
    fabric_capacity : float
        Heat capacity of the sides [J/K].
    air_mass_kg : float
        Dry air in the room [kg].
    change_kg_s : float
        Dry outside air that enters at a constant rate [kg/s].
    mean_change_kg_s : float
        The same with what leaks in, at its mean of a winter [kg/s].
    leak_cm2 : float
        Effective leakage area, through which air flows by wind and stack effect [cm2].
    floor_steady : float
        H of ISO 13370, or of the F-factor method: room air to outdoors through the floor [W/K].
    air_slab : float
        Room air to slab, where no vessel covers it [W/K].
    slab_capacity : float
        Heat capacity of the slab [J/K].
    slab_soil : float
        Slab to soil layer [W/K].
    soil_capacity : float
        Heat capacity of the soil layer [J/K].
    soil_ground : float
        Soil layer to virtual ground [W/K]. Insulation along the edge does not change it by ISO 13370, see
        `ground_swing_share`.
    ground_swing_share : float
        H_pe / H of ISO 13370: the yearly wave of the floor's heat loss, as a share of its steady conductance without
        insulation along the edge [-].
    ground_lag_months : float
        Lag of that wave behind the outdoor air [months].
    ground_outdoor_share : float
        Share of the outdoor air's yearly wave that reaches the slab undamped in place of that wave [-].
    coldest_side : str
        Name of the outer side with the highest transmittance; empty where no side is outer.
    coldness : float
        1 - f_Rsi of that side, with the temperature factor f_Rsi of ISO 13788 [-].
    condensing_kg_s : float
        Mass-transfer conductance of vapour to that side [kg/s for each unit of humidity ratio].
    """

    sides: tuple[SidePath, ...]
    air_fabric: float
    fabric_beyond: float
    fabric_capacity: float
    air_mass_kg: float
    change_kg_s: float
    mean_change_kg_s: float
    leak_cm2: float
    floor_steady: float
    air_slab: float
    slab_capacity: float
    slab_soil: float
    soil_capacity: float
    soil_ground: float
    ground_swing_share: float
    ground_lag_months: float
    ground_outdoor_share: float
    coldest_side: str
    coldness: float
    condensing_kg_s: float

    def beyond(self, *faces: str) -> float:
        """Conductance from the fabric node to what the named sides face, for example "outdoors", "attic". [W/K]"""
        total = sum(side.ua_w_per_k for side in self.sides)
        part = sum(side.ua_w_per_k for side in self.sides if side.faces in faces)
        return float(fabric_split.boundary_conductance(self.fabric_beyond, part, total)) if total else 0.0


def side_path(side: Side) -> SidePath:
    """Steady conductance of a side of the room, films and thermal bridges included."""
    u = float(side_transmittance(side.r_m2k_per_w, side.faces, side.attic_w_per_m2k))
    bridges = side.bridges_w_per_m2k * side.area_m2
    return SidePath(side.name, side.faces, u * side.area_m2 + bridges, u, bridges)


def room_envelope(room: Room, covered_m2: float, pressure_pa: float) -> Envelope:
    """Conductances and capacities of a room.

    Parameters
    ----------
    room : Room
        The room.
    covered_m2 : float
        Floor area under vessels, which exchanges heat with them and not with the air [m2].
    pressure_pa : float
        Air pressure [Pa].

    Returns
    -------
    Envelope
        Its numbers; the coldest side is chosen among those that face outdoors or an attic.
    """
    sides = tuple(side_path(side) for side in room.sides)
    area = sum(side.area_m2 for side in room.sides)
    film = float(fabric_split.air_fabric_conductance(area))
    ua = sum(side.ua_w_per_k for side in sides)
    outer = [(path, side) for path, side in zip(sides, room.sides, strict=True) if side.faces in ("outdoors", "attic")]
    coldest_path, coldest_side = max(outer, key=lambda pair: pair[0].u_w_per_m2k, default=(None, None))
    density = float(dry_air_density(REFERENCE_AIR_C, 0.0, pressure_pa))
    openings = float(door_air_changes(room.door_openings_per_day))
    constant, mean = (
        density * float(air_change_flow(changes + openings, room.volume_m3))
        for changes in (room.air_changes_per_h, room.mean_air_changes_per_h)
    )
    return Envelope(
        sides=sides,
        air_fabric=film,
        fabric_beyond=float(fabric_split.fabric_beyond_conductance(ua, film)),
        fabric_capacity=sum(side.area_m2 * side.mass_j_per_m2k for side in room.sides),
        air_mass_kg=density * room.volume_m3,
        change_kg_s=constant,
        mean_change_kg_s=mean,
        leak_cm2=room.leakage_area_cm2,
        **_ground(room, covered_m2),
        coldest_side=coldest_path.name if coldest_path else "",
        coldness=float(surface_drop_share(coldest_path.u_w_per_m2k)) if coldest_path else 0.0,
        condensing_kg_s=float(condensing_conductance(coldest_side.area_m2)) if coldest_side else 0.0,
    )


def _ground(room: Room, covered_m2: float) -> dict[str, float]:
    """Slab, soil layer and the ground below it, as fields of `Envelope`.

    By ISO 13370 insulation along the edge lowers the steady loss H and the outdoor wave H_pe, and leaves H_pi, what the
    ground gives back when the room is colder than in its mean of the year. Lowering the coupling to the ground with H
    would take that heat from a cold garage. So the coupling is that without the strip, and the strip takes its part of
    the wave. What it saves of the steady loss, H times the yearly means of room less outdoors, is not counted: safe,
    and small in a room that is not heated in summer. The F-factor method knows no wave; there the strip lowers both.
    """
    soil = ground.Soil(room.floor.soil_w_per_mk, room.floor.soil_j_per_m3k)
    area, perimeter, r = room.floor_m2, room.perimeter_m, room.floor.r_m2k_per_w
    edge = ground.EdgeInsulation(room.floor.edge_r_m2k_per_w, room.floor.edge_depth_m)
    if room.floor.by_perimeter:
        coupling = h = float(perimeter_conductance(perimeter_factor(edge.r_m2k_per_w, r), perimeter))
    else:
        coupling = area * float(ground.floor_transmittance(area, perimeter, r, soil, LIGHT_WALL_M))
        h = coupling + perimeter * float(ground.edge_correction(r, edge, soil, LIGHT_WALL_M))
    swing = float(ground.outdoor_swing_conductance(perimeter, r, soil, edge, LIGHT_WALL_M))
    return {
        "floor_steady": h,
        "air_slab": float(bare_floor_area(area, covered_m2) / slab_resistance(r)),
        "slab_capacity": area * room.floor.mass_j_per_m2k,
        "slab_soil": area / float(ground.soil_resistance(r, soil)),
        "soil_capacity": area * ground.SOIL_LAYER_M * soil.capacity_j_per_m3k,
        "soil_ground": area / float(ground.virtual_ground_resistance(area, coupling, r, soil)),
        "ground_swing_share": swing / coupling,
        "ground_lag_months": float(ground.swing_lag_months(r, soil, LIGHT_WALL_M)),
        "ground_outdoor_share": room.floor.outdoor_swing,
    }


def ground_season(envelope: Envelope, amplitude_k: float) -> tuple[float, float]:
    """Heat from the ground's yearly wave into the soil node. [W]

    Parameters
    ----------
    envelope : Envelope
        The room's envelope.
    amplitude_k : float
        Amplitude of the yearly wave of the outdoor air temperature [K].

    Returns
    -------
    cosine, sine : float
        Its parts [W], with the angle counted from the coldest time outdoors. The ground lags behind by
        `ground_lag_months`.
    """
    outdoors = envelope.ground_outdoor_share
    share, lag = (1.0 - outdoors) * envelope.ground_swing_share, envelope.ground_lag_months
    damped = ground.yearly_wave(envelope.soil_ground, share, lag, amplitude_k)
    undamped = ground.yearly_wave(envelope.soil_ground, outdoors, 0.0, amplitude_k)
    return float(damped[0] + undamped[0]), float(damped[1] + undamped[1])

"""Sun and sky of a plan as heat into the nodes of its network, in proportion to the columns of the forcing."""

from __future__ import annotations

from thermal.climate.forcing import CLEAR_SKY, SKY, SunAndSky, sun_column, warmed_column
from thermal.core.facings import ROOF
from thermal.network.envelope import Envelope, SidePath
from thermal.physics.constants import EMISSIVITY_WALL
from thermal.physics.fabric_split import boundary_conductance
from thermal.physics.glazing import transmitted_sun
from thermal.physics.outside_film import transmittance_behind
from thermal.physics.sky_temperature import SKY_BELOW_AIR_K
from thermal.physics.sol_air import sky_view_factor
from thermal.plan.structure import Room, Side

TO_FLOOR, TO_SURFACES = 0.64, 0.32  # of the sun through a window, the rest goes out again: ASHRAE 140 case 600, memory
ATTIC_ROOF_SHARE = 0.5  # of what the attic's air exchanges with outdoors, by the roof and not by air: our judgement
OUTER = ("outdoors", "attic")

Gains = dict[tuple[str, int], float]  # heat for each unit of a column [W], by name of the node and number of the column


def outdoor_gains(room: Room, envelope: Envelope, floor_under_vessels_m2: float, outdoors: SunAndSky) -> Gains:
    """Heat of sun and sky into the nodes of a room. [W for each unit of the column]

    Parameters
    ----------
    room : Room
        The room.
    envelope : Envelope
        Its conductances.
    floor_under_vessels_m2 : float
        Area of the floor under tanks and beds, which shade it [m2].
    outdoors : SunAndSky
        What the weather file tells of sun and sky.

    Notes
    -----
    A side takes in the sol-air temperature's excess over the air, times its share of the conductance from the fabric
    node outwards; behind an outside film other than the standard's, that conductance is smaller or larger.
    """
    gains: Gains = {}
    sun = room.sun_from_cloud if outdoors.sun == "cloud" else 1.0
    for side, path in zip(room.sides, envelope.sides, strict=True):
        if side.faces not in OUTER:
            continue
        conductance = _outer_conductance(path, envelope, outdoors.film_w_per_m2k)
        if outdoors.sun and not side.g:
            _add(gains, "fabric", warmed_column(side.facing), sun * conductance * side.absorptance)
        if outdoors.sun and side.g:
            _add_window(gains, side, sun, max(1.0 - floor_under_vessels_m2 / room.floor_m2, 0.0))
        if outdoors.sky:
            lost = -conductance * EMISSIVITY_WALL * _sky_view(side)
            assumed = outdoors.sky == "assumed"
            _add(gains, "fabric", SKY, lost * (room.sky_below_k / SKY_BELOW_AIR_K if assumed else 1.0))
            if assumed:
                _add(gains, "fabric", CLEAR_SKY, lost)
    return gains


def _add(gains: Gains, node: str, column: int, w_per_unit: float) -> None:
    """Add a gain to those of the same node and column."""
    gains[node, column] = gains.get((node, column), 0.0) + w_per_unit


def _outer_conductance(path: SidePath, envelope: Envelope, film_w_per_m2k: float) -> float:
    """Conductance between the fabric node and the outer surface's sol-air temperature. [W/K]"""
    total = sum(side.ua_w_per_k for side in envelope.sides)
    conductance = float(boundary_conductance(envelope.fabric_beyond, path.ua_w_per_k, total))
    if path.faces == "attic":
        return ATTIC_ROOF_SHARE * conductance
    return conductance * float(transmittance_behind(path.u_w_per_m2k, film_w_per_m2k)) / path.u_w_per_m2k


def _sky_view(side: Side) -> float:
    """Share of the sky in the view of a side's outer surface. [-]"""
    return float(sky_view_factor(0.0 if side.facing == ROOF else 90.0))


def _add_window(gains: Gains, side: Side, sun: float, bare: float) -> None:
    """The sun through a window: on bare floor, on the room's surfaces, and on leaves and lids, which warm the air."""
    let_in = float(transmitted_sun(side.area_m2, side.g, sun))
    column = sun_column(side.facing)
    for node, share in (("slab", TO_FLOOR * bare), ("air", TO_FLOOR * (1.0 - bare)), ("fabric", TO_SURFACES)):
        if share:
            _add(gains, node, column, share * let_in)

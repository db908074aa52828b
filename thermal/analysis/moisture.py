"""Condensation and mould: hours of risk at the coldest inner surface of the room, or at the skin of the hut."""

from __future__ import annotations

from thermal.analysis.case import SimulationCase, WinterHours
from thermal.analysis.results import MoistureHours
from thermal.physics.condensation import corner_drop_share, is_condensing, is_mould_possible, surface_temperature
from thermal.physics.moist_air import vapour_pressure

HUT_SKIN = "skin of the hut"


def moisture_hours(case: SimulationCase, hours: WinterHours) -> MoistureHours:
    """Hours of condensation and of possible mould in one winter. [h]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    hours : WinterHours
        One winter of one design.
    """
    room = case.network.room_air
    if room is None or room.node is None:
        return MoistureHours("", 0, 0)
    beyond = hours.outdoor_c if room.beyond_node is None else hours.mean(room.beyond_node)
    ratio = hours.hourly_output.ratio[:, hours.column]
    inside, vapour = hours.mean(room.node), vapour_pressure(ratio, case.weather.pressure_pa)
    wet = is_condensing(vapour, surface_temperature(inside, beyond, room.coldness))
    mouldy = is_mould_possible(vapour, surface_temperature(inside, beyond, corner_drop_share(room.coldness)))
    side = HUT_SKIN if room.beyond_node is not None else case.envelope.coldest_side if case.envelope else ""
    return MoistureHours(side, int(wet.sum()), int(mouldy.sum()))

"""Will the room turn wet: condensation and mould hours at its coldest inner surface, or at the hut's skin."""

from __future__ import annotations

from thermal.analysis.case import SimulationCase, WinterHours
from thermal.analysis.results import MoistureHours
from thermal.solver.tuned_laws import damp_hours

HUT_SKIN = "skin of the hut"


def moisture_hours(case: SimulationCase, hours: WinterHours) -> MoistureHours:
    """The damp of one traced winter."""
    room = case.network.room_air
    if room is None or room.node is None:
        return MoistureHours("", 0, 0)
    beyond = hours.outdoor_c if room.beyond_node is None else hours.mean(room.beyond_node)
    ratio = hours.hourly_output.ratio[:, hours.column]
    wet, mouldy = damp_hours(hours.mean(room.node), beyond, ratio, room.coldness, case.weather.pressure_pa)
    side = HUT_SKIN if room.beyond_node is not None else case.envelope.coldest_side if case.envelope else ""
    return MoistureHours(side, int(wet.sum()), int(mouldy.sum()))

"""Will the room turn wet: condensation and mould hours at its coldest inner surface, or at the hut's skin."""

from __future__ import annotations

from dataclasses import dataclass

from thermal.analysis.case import Scene
from thermal.analysis.heat_balance import Hours
from thermal.solver.summary_output import damp_hours

HUT_SKIN = "skin of the hut"


@dataclass(frozen=True)
class Damp:
    """Hours of one winter; `side` is the one judged. None of it where the room's air is given."""

    side: str
    condensation_hours: int
    mould_hours: int


def damp_of(scene: Scene, hours: Hours) -> Damp:
    """The damp of one traced winter."""
    room = scene.network.room_air
    if room is None or room.node is None:
        return Damp("", 0, 0)
    beyond = hours.outdoor_c if room.beyond_node is None else hours.mean(room.beyond_node)
    ratio = hours.trace.ratio[:, hours.column]
    wet, mouldy = damp_hours(hours.mean(room.node), beyond, ratio, room.coldness, scene.weather.pressure_pa)
    side = HUT_SKIN if room.beyond_node is not None else scene.envelope.coldest_side if scene.envelope else ""
    return Damp(side, int(wet.sum()), int(mouldy.sum()))

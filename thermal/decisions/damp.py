"""Will the room turn wet: condensation and mould hours at its coldest inner surface."""

from __future__ import annotations

from dataclasses import dataclass

from thermal import air
from thermal.accounts import Hours
from thermal.paths.walls import R_INSIDE, R_MOULD
from thermal.scene import Scene

MOULD_RH = 0.80  # surface humidity above which mould grows in time, ISO 13788:2012


@dataclass(frozen=True)
class Damp:
    """Hours of one winter; `side` is the one judged. None of it where the room's air is given."""

    side: str
    condensation_hours: int
    mould_hours: int


def damp_of(scene: Scene, hours: Hours) -> Damp:
    """Condensation behind the ordinary inside film, mould behind the still air of a corner.

    Source: ISO 13788:2012, R_si 0.25 m2K/W and 80 % at the surface for mould.
    """
    envelope, room = scene.envelope, scene.network.room_air
    if envelope is None or room is None or room.node is None:
        return Damp("", 0, 0)
    inside = hours.mean(room.node)
    vapour = air.vapour_pressure(hours.trace.ratio[:, hours.column], scene.weather.pressure_pa)
    drop = inside - hours.outdoor_c
    corner = corner_coldness(envelope.coldness)
    wet = vapour > air.saturation_pressure(inside - envelope.coldness * drop)
    rh = vapour / air.saturation_pressure(inside - corner * drop)
    return Damp(
        side=envelope.coldest_side,
        condensation_hours=int(wet.sum()),
        mould_hours=int((rh > MOULD_RH).sum()),
    )


def corner_coldness(coldness: float) -> float:
    """The coldest surface's share of the temperature drop with the thicker film of a corner."""
    if coldness <= 0:
        return 0.0
    film = R_INSIDE["horizontal"]
    return R_MOULD / (film / coldness - film + R_MOULD)

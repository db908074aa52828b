"""Electrical devices of a plan in SI units: pump, heaters, and all others, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, replace

from thermal.core.schedule import ALWAYS, DailySchedule
from thermal.data.vapour_sources import vapour_rate, vapour_source

THERMOSTAT_ABOVE_FLOOR_K = 1.0  # where the plan states no thermostat


@dataclass(frozen=True)
class Load:
    """An electrical device whose power heats the system.

    Attributes
    ----------
    name : str
        Its name.
    power_w : float
        Its power while it runs [W].
    hours : tuple of float, (24,)
        Share of each hour of the day that it runs [-].
    to_water, to_bed, to_air, to_hut : float
        Share of its heat that goes to tank water, beds, air of the room and air of the hut [-].
    vapour : str
        What gives vapour to the air of the room, as written; empty where nothing does.
    vapour_kg_s : float
        That vapour while it runs [kg/s].
    vapour_heat_j_per_kg : float
        Heat that the air gives to make it [J/kg]; 0 where a flame or a body gives it.
    electric : bool
        Whether its power is electric; not that of a burner or a person.
    """

    name: str
    power_w: float
    hours: DailySchedule
    to_water: float = 0.0
    to_bed: float = 0.0
    to_air: float = 0.0
    to_hut: float = 0.0
    vapour: str = ""
    vapour_kg_s: float = 0.0
    vapour_heat_j_per_kg: float = 0.0
    electric: bool = True


@dataclass(frozen=True)
class Pump:
    """The pump between tank and beds.

    Attributes
    ----------
    flow_m3_s : float
        Its flow [m3/s].
    power_w : float
        Its power while it runs [W].
    hours : tuple of float, (24,)
        Share of each hour of the day that it runs [-].
    in_water_share : float
        Share of its heat that goes to the water; the rest goes to the air around the tank [-].
    duty : pair of float or None
        How long it runs in each period, and that period [s]; None where it runs without pause in its hours.
    """

    flow_m3_s: float
    power_w: float
    hours: DailySchedule
    in_water_share: float = 1.0
    duty: tuple[float, float] | None = None

    @property
    def run_share(self) -> float:
        """Share of its hours in which it runs; `hours` counts it already. [-]"""
        return self.duty[0] / self.duty[1] if self.duty else 1.0

    @property
    def circulating_share(self) -> float:
        """Share of the day in which it moves water. [-]"""
        return sum(self.hours) / 24.0 if self.flow_m3_s > 0.0 else 0.0


@dataclass(frozen=True)
class Heater:
    """Where the heat goes, and the heaters owned.

    Attributes
    ----------
    where : str
        water or room.
    units_w : tuple of float
        Power of each heater owned [W]; empty where none is owned.
    reserve : float or None
        Least power to buy beyond the power needed, as a share of it [-]; None where the plan does not state it.
    hours : tuple of float, (24,)
        Share of each hour of the day in which a timer gives it power [-].
    cut_out_c : float or None
        Setting of an independent cut-out [degC]; None where there is none.
    """

    where: str
    units_w: tuple[float, ...]
    reserve: float | None
    hours: DailySchedule = ALWAYS
    cut_out_c: float | None = None


def damp_load(load: Load, text: str) -> Load:
    """A load that gives off vapour too.

    Parameters
    ----------
    load : Load
        The load, with its power and hours.
    text : str
        What gives the vapour, as written.
    """
    source = vapour_source(text)
    return replace(
        load,
        vapour=text,
        vapour_kg_s=vapour_rate(source, load.power_w, sum(load.hours)),
        vapour_heat_j_per_kg=source.heat_j_per_kg,
        electric=source.electric,
    )

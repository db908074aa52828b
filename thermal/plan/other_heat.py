"""Other sources of heat that a plan tries, in SI units, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from thermal.core.distributions import TriangularRange
from thermal.core.schedule import ALWAYS, NEVER, DailySchedule
from thermal.data.other_heat import collector_coefficients, compost_heat, stove_radiant_share

if TYPE_CHECKING:
    from thermal.plan.heat_tables import CollectorTable, CompostTable, OtherHeatTable


@dataclass(frozen=True)
class Compost:
    """A compost heap.

    Attributes
    ----------
    watts : tuple of float
        Heat that it gives, low, likely and high; all the same where the plan states it [W].
    to_node : str
        Node that the heat goes to: "tank" or "air".
    cost : float or None
        What it costs to set up [currency]; None where not known.
    """

    watts: TriangularRange
    to_node: str
    cost: float | None


@dataclass(frozen=True)
class HouseAir:
    """Air taken from the house into the room.

    Attributes
    ----------
    flow_m3_s : float
        Its flow while it runs [m3/s].
    hours : tuple of float, (24,)
        Share of each hour of the day that it runs [-].
    heat_price : float or None
        Price of the house's heat [currency/kWh]; None where it is taken to be that of electricity.
    cost : float or None
        What it costs to set up [currency]; None where not known.
    """

    flow_m3_s: float
    hours: DailySchedule
    heat_price: float | None
    cost: float | None


@dataclass(frozen=True)
class Stove:
    """A stove in the room, lit every day in some hours.

    Attributes
    ----------
    watts : float or None
        Its power in these hours [W]; None where the smallest that overwinters alone is looked for.
    hours : tuple of float, (24,)
        Share of each hour of the day that it burns [-].
    heat_price : float or None
        Price of the heat of its fuel [currency/kWh]; None where it is taken to be that of electricity.
    cost : float or None
        What it costs to set up [currency]; None where not known.
    """

    watts: float | None
    hours: DailySchedule
    heat_price: float | None
    cost: float | None


@dataclass(frozen=True)
class Collector:
    """A sun collector, through which the tank's water runs while it gives heat.

    Attributes
    ----------
    area_m2 : float
        Its area [m2].
    tilt_deg : float
        Angle between it and the horizontal [degree].
    facing : str
        Direction that it faces; empty for that of the noon sun.
    coefficients : tuple of float
        eta0 [-], a1 [W/m2K] and a2 [W/m2K2] of `physics.solar_collector`.
    max_c : float or None
        Water temperature at which its pump stops [degC]; None where it is the plan's upper limit.
    cost : float or None
        What it costs to set up [currency]; None where not known.
    """

    area_m2: float
    tilt_deg: float
    facing: str
    coefficients: tuple[float, float, float]
    max_c: float | None
    cost: float | None


@dataclass(frozen=True)
class OtherHeat:
    """The sources of heat that a plan tries; None for those that it does not."""

    compost: Compost | None = None
    house_air: HouseAir | None = None
    stove: Stove | None = None
    collector: Collector | None = None


NO_OTHER_HEAT = OtherHeat()


@dataclass(frozen=True)
class TriedHeat:
    """A source of heat in one design.

    Attributes
    ----------
    to_node : str
        Node that its heat goes to.
    watts : float
        Heat that it gives in its hours [W].
    radiant_share : float
        Share of it that goes to the room's surfaces in place of the node [-].
    hours : tuple of float, (24,)
        Share of each hour of the day that it gives heat [-].
    house_air_m3_s : float
        Flow of house air in these hours [m3/s].
    from_weather : bool
        Whether it gives the heat that a column of the weather says, hour by hour.
    """

    to_node: str
    watts: float = 0.0
    radiant_share: float = 0.0
    hours: DailySchedule = NEVER
    house_air_m3_s: float = 0.0
    from_weather: bool = False


def other_heat_of(entry: OtherHeatTable) -> OtherHeat:
    """The sources of heat of a plan's tables.

    Parameters
    ----------
    entry : OtherHeatTable
        The checked tables.
    """
    air, stove = entry.house_air, entry.stove
    return OtherHeat(
        compost=_compost(entry.compost) if entry.compost else None,
        house_air=HouseAir(air.flow, air.hours, air.heat_price, air.cost) if air else None,
        stove=Stove(stove.power, stove.hours, stove.heat_price, stove.cost) if stove else None,
        collector=_collector(entry.collector) if entry.collector else None,
    )


def _compost(entry: CompostTable) -> Compost:
    """A compost heap."""
    low, likely, high = compost_heat() if entry.heat is None else (entry.heat,) * 3
    watts = entry.volume * low, entry.volume * likely, entry.volume * high
    return Compost(watts, "tank" if entry.where == "water" else "air", entry.cost)


def _collector(entry: CollectorTable) -> Collector:
    """A sun collector, with usual coefficients where the plan gives none."""
    given = entry.eta0, entry.a1, entry.a2
    eta0, a1, a2 = (usual if own is None else own for own, usual in zip(given, collector_coefficients(), strict=True))
    return Collector(entry.area, entry.tilt, entry.facing or "", (eta0, a1, a2), entry.max_temperature, entry.cost)


COLLECTOR_SOURCE = TriedHeat("tank", from_weather=True)


def compost_source(compost: Compost, watts: float) -> TriedHeat:
    """A compost heap as a source of heat, which runs at all hours."""
    return TriedHeat(compost.to_node, watts, hours=ALWAYS)


def house_air_source(air: HouseAir) -> TriedHeat:
    """House air as a source of heat."""
    return TriedHeat("air", hours=air.hours, house_air_m3_s=air.flow_m3_s)


def stove_source(stove: Stove, watts: float) -> TriedHeat:
    """A stove of some watts as a source of heat."""
    return TriedHeat("air", watts, stove_radiant_share(), stove.hours)

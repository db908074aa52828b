"""What another source of heat brings in a winter; a frozen value."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class StoveHeat:
    """A stove, lit every day in its hours.

    Attributes
    ----------
    watts : float
        Its power in these hours [W].
    least_w : float or None
        The smallest power that overwinters without a heater [W]; None where none up to 300 kW does.
    hours : float
        How long it burns in a day [h].
    days : int
        Days of the typical winter on which the plan's heater would run; so often it has to be lit.
    lasts_h, lasts_typical_h : float or None
        Hours from its going out until the water is at its minimum, if it is not lit again and there is no heater: on
        the worst day of the coldest winters, and on the median of the days above [h]; None if longer than a week.
    warmest_air_c : float
        Warmest hour of the room's air, the median of those days [degC].
    """

    watts: float
    least_w: float | None
    hours: float
    days: int
    lasts_h: float | None
    lasts_typical_h: float | None
    warmest_air_c: float


@dataclass(frozen=True)
class HeatBrought:
    """What another source of heat brings; energies and money of the typical winter.

    Attributes
    ----------
    brought_kwh : float
        Heat that it gives [kWh].
    share : float or None
        Share of the heating that it replaces [-]; None where the plan needs no heating.
    share_low, share_high : float or None
        The same at the ends of its range [-]; None where its heat is stated.
    alone : bool
        Whether the water stays at its minimum in every hour with it and no heater.
    coldest_alone_c, warmest_alone_c : float
        Coldest and warmest water then [degC].
    warmest_without_c : float
        Warmest water with neither it nor a heater [degC].
    paid_kwh, paid_cost : float or None
        Heat that has to be paid for elsewhere [kWh], and its price [currency]: the house's heat behind the air that is
        taken from it; None where there is none.
    heat_price : float or None
        Price of that heat [currency/kWh].
    stove : StoveHeat or None
        Of a stove; None for others, and where no stove is large enough or none is needed.
    watts : tuple of float
        Heat that a compost heap gives, low, likely and high [W]; empty for others.
    """

    brought_kwh: float
    share: float | None
    share_low: float | None
    share_high: float | None
    alone: bool
    coldest_alone_c: float
    warmest_alone_c: float
    warmest_without_c: float = 0.0
    paid_kwh: float | None = None
    paid_cost: float | None = None
    heat_price: float | None = None
    stove: StoveHeat | None = None
    watts: tuple[float, ...] = ()

"""What another source of heat brings in a winter; a frozen value."""

from __future__ import annotations

from dataclasses import dataclass


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
    paid_kwh, paid_cost : float or None
        Heat that has to be paid for elsewhere [kWh], and its price [currency]: the house's heat behind the air that is
        taken from it; None where there is none.
    heat_price : float or None
        Price of that heat [currency/kWh].
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
    paid_kwh: float | None = None
    paid_cost: float | None = None
    heat_price: float | None = None
    watts: tuple[float, ...] = ()

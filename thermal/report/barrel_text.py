"""What barrels of water in the room do, in a few sentences."""

from __future__ import annotations

from thermal.analysis.barrel_effect import BarrelEffect
from thermal.core.display_units import UNIT_SYSTEMS, watts_text


def barrel_sentence(effect: BarrelEffect, unit_system: str) -> str:
    """Heater needed with the barrels and without, the coldest air and water, and their ice.

    Parameters
    ----------
    effect : BarrelEffect
        What they change.
    unit_system : str
        metric, us or imperial.
    """
    units = UNIT_SYSTEMS[unit_system]
    noun = "barrel" if effect.count == 1 else "barrels"
    air, air_without, tank, tank_without = (
        units.text("temperature", celsius)
        for celsius in (
            effect.coldest_air_c, effect.coldest_air_without_c, effect.coldest_c, effect.coldest_without_c,
        )
    )  # fmt: skip
    if effect.heater_w is None or effect.heater_without_w is None or effect.kwh is None:
        heating = "Without them no heater would be enough."
    else:
        heating = (
            f"The heater needed is {watts_text(effect.heater_w)} with them and"
            f" {watts_text(effect.heater_without_w)} without;"
            f" they change the heating of a typical winter by {effect.kwh:+,.0f} kWh, at the likely inputs."
        )
    ice = (
        f"With the heaters on they hold ice in up to {effect.hours_ice:,.0f} h of a winter, at most"
        f" {100.0 * effect.frozen_share:.0f} % of their water at once."
        if effect.hours_ice
        else "With the heaters on they do not freeze."
    )
    return (
        f"{effect.count} {noun} hold {units.text('volume', effect.water_m3, 0)} of water, outside the system. {heating}"
        f" Without a heater the room's air falls to {air} with them and {air_without} without, the tank to {tank} and"
        f" {tank_without}. {ice}"
    )

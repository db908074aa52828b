"""The sentence on a house, or a heated room, that is cooler at night."""

from __future__ import annotations

from thermal.analysis.night_setback import NightSetback
from thermal.core.display_units import UNIT_SYSTEMS


def night_setback_sentence(setback: NightSetback, system: str) -> str:
    """What cooler nights do to the water.

    Parameters
    ----------
    setback : NightSetback
        What they change.
    system : str
        Units of the answer: metric, us or imperial.
    """
    units = UNIT_SYSTEMS[system]
    day, night, coldest, warm = (
        units.text("temperature", celsius)
        for celsius in (setback.by_day_c, setback.at_night_c, setback.coldest_c, setback.coldest_without_c)
    )
    day_range, usual_range = (
        units.difference(kelvin, 1) for kelvin in (setback.daily_range_k, setback.daily_range_without_k)
    )
    heat = ""
    if setback.heater_w is not None and setback.kwh is not None and (setback.heater_w or setback.kwh):
        heat = f" The heater needed changes by {setback.heater_w:+,.0f} W, the heating of a typical winter by"
        heat += f" {setback.kwh:+,.0f} kWh, at the likely inputs."
    return (
        f"The {setback.of} is at {night} at night and {day} by day. Without a heater the coldest water is {coldest}"
        f" ({warm} without the cooler nights), and in a typical day the water rises and falls by {day_range}"
        f" ({usual_range}).{heat}"
    )

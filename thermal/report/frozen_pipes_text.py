"""The sentence on pipes that freeze while the pump is off."""

from __future__ import annotations

from thermal.analysis.frozen_pipes import CABLE_C, FrozenPipe
from thermal.core.display_units import UNIT_SYSTEMS


def frozen_pipe_sentence(pipe: FrozenPipe, system: str) -> str:
    """When the water of a pipe freezes while the pump is off, and the heat cable that keeps it.

    Parameters
    ----------
    pipe : FrozenPipe
        The pipe.
    system : str
        Units of the answer: metric, us or imperial.
    """
    units = UNIT_SYSTEMS[system]
    air, warm = (units.text("temperature", celsius) for celsius in (pipe.coldest_air_c, CABLE_C))
    text = f"{pipe.name} in air down to {air} (winter {pipe.winter}):"
    if pipe.hours_to_ice is None or pipe.hours_to_solid is None:
        return f"{text} it does not freeze with the pump off."
    metres = pipe.cable_w / pipe.cable_w_per_m
    each = f"{pipe.cable_w_per_m:.0f} W/m" if system == "metric" else f"{pipe.cable_w_per_m * 0.3048:.1f} W/ft"
    return (
        f"{text} with the pump off, ice begins after {pipe.hours_to_ice:.1f} h and the pipe is frozen through after"
        f" {pipe.hours_to_solid:.0f} h. Water standing in it is frozen for {pipe.hours_frozen:,.0f} h of that winter. A"
        f" heat cable of {each} holds it at {warm} ({pipe.cable_w:.0f} W on"
        f" {units.text('length', metres)}); or drain it."
    )

"""Why the heater, the energy or the mould risk of another way to heat rises against the plan."""

from __future__ import annotations

from thermal.analysis.cold_beds import exceeds_steady
from thermal.analysis.comparison_results import Alternative, DesignResult
from thermal.core.display_units import watts_text
from thermal.data.other_ways import other_ways

RAISED_ENERGY = 1.02  # energy or cost over that of the plan, from which it is said to rise
RAISED_MOULD, RAISED_MOULD_H = 1.05, 24.0  # the same for hours of mould risk, by factor and in hours


def surprise(base: DesignResult, other: Alternative, season_known: bool) -> str:
    """Why the heater, the energy or the mould risk of another way rises; empty where none of them does.

    Parameters
    ----------
    base : DesignResult
        The plan as written.
    other : Alternative
        The other way.
    season_known : bool
        Whether a complete winter stands behind energy and hours of mould risk.
    """
    row = other_ways().get(other.name)
    if row is None:
        return ""
    rises = []
    if other.needed_w is None and base.needed_w is not None:
        rises.append(("No heater is enough that way", row.more_heater))
    elif base.needed_w is not None and other.needed_w is not None and exceeds_steady(base.needed_w, other.needed_w):
        before, after = watts_text(base.needed_w), watts_text(other.needed_w)
        rises.append((f"The heater needed rises from {before} to {after}", row.more_heater))
    if season_known and other.kwh > RAISED_ENERGY * base.kwh:
        rises.append((f"The energy rises from {base.kwh:,.0f} to {other.kwh:,.0f} kWh", row.more_energy))
    elif season_known and other.cost > RAISED_ENERGY * base.cost:
        rises.append(("It costs more to run", row.more_energy))
    if season_known and other.mould_h > max(RAISED_MOULD * base.mould_h, base.mould_h + RAISED_MOULD_H):
        rises.append((f"Hours of mould risk rise from {base.mould_h:,.0f} to {other.mould_h:,.0f}", row.more_mould))
    return " ".join(f"{what}: {why}." for what, why in rises)

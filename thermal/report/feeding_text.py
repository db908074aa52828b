"""The sentence on bacteria and feeding, and the columns of the months' table on them."""

from __future__ import annotations

from thermal.analysis.feeding import Feeding
from thermal.core.display_units import UNIT_SYSTEMS, percent_text


def feeding_sentence(feeding: Feeding, system: str) -> str:
    """When bacteria are slow and when animals are not to be fed; empty where the plan names no animal.

    Parameters
    ----------
    feeding : Feeding
        The typical winter.
    system : str
        Units of the answer: metric, us or imperial.
    """
    if not feeding.animals:
        return ""
    units = UNIT_SYSTEMS[system]
    rest = units.text("temperature", 25.0, 0)
    text = (
        f"Filter bacteria turn over less than half as much ammonia as at {rest} for {feeding.hours_below_half:,.0f} h"
        f" of the typical winter, and less than a quarter for {feeding.hours_below_quarter:,.0f} h: feed less then."
    )
    for animal in feeding.animals:
        stop = units.text("temperature", animal.stop_below_c, 0)
        when = f", in the mean of {', '.join(animal.months)}" if animal.months else ""
        hours = f"{animal.hours:,.0f} h{when}" if animal.hours else "never in this water"
        text += f" Stop feeding {animal.species} below {stop}: {hours}."
    return text


def month_cells(feeding: Feeding | None, system: str) -> list[tuple[str, str]]:
    """Mean water and nitrification of each month; empty where it was not worked out.

    Parameters
    ----------
    feeding : Feeding or None
        The typical winter.
    system : str
        Units of the answer: metric, us or imperial.
    """
    if feeding is None:
        return []
    units = UNIT_SYSTEMS[system]
    return [(units.text("temperature", month.mean_c), percent_text(month.nitrification)) for month in feeding.months]

"""Other sources of heat that a plan tries, in SI units, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from thermal.core.distributions import TriangularRange
from thermal.core.schedule import ALWAYS, NEVER, DailySchedule
from thermal.data.other_heat import compost_heat

if TYPE_CHECKING:
    from thermal.plan.heat_tables import CompostTable, OtherHeatTable


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
class OtherHeat:
    """The sources of heat that a plan tries; None for those that it does not."""

    compost: Compost | None = None


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
    hours : tuple of float, (24,)
        Share of each hour of the day that it gives heat [-].
    """

    to_node: str
    watts: float = 0.0
    hours: DailySchedule = NEVER


def other_heat_of(entry: OtherHeatTable) -> OtherHeat:
    """The sources of heat of a plan's tables.

    Parameters
    ----------
    entry : OtherHeatTable
        The checked tables.
    """
    return OtherHeat(compost=_compost(entry.compost) if entry.compost else None)


def _compost(entry: CompostTable) -> Compost:
    """A compost heap."""
    low, likely, high = compost_heat() if entry.heat is None else (entry.heat,) * 3
    watts = entry.volume * low, entry.volume * likely, entry.volume * high
    return Compost(watts, "tank" if entry.where == "water" else "air", entry.cost)


def compost_source(compost: Compost, watts: float) -> TriedHeat:
    """A compost heap as a source of heat, which runs at all hours."""
    return TriedHeat(compost.to_node, watts, ALWAYS)

"""Which heater: the least watts that hold the floor, what to buy, and what happens when one fails."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from thermal import tables
from thermal.decisions.fleet import fleets
from thermal.decisions.sizing import Sizing, sized
from thermal.errors import SizingError
from thermal.march import Run
from thermal.network import Control
from thermal.scene import Scene

BOILING_C = 100.0


@dataclass(frozen=True)
class HeaterChoice:
    """The heater question answered.

    setpoint_c is the water's thermostat, or the room's when the room is heated. buy_w is empty when what is
    owned holds. coldest_c, hours_below and peak_duty are of `installed_w`: the units owned, else those to buy.
    """

    needed_w: float
    setpoint_c: float
    installed_w: tuple[float, ...]
    buy_w: tuple[float, ...]
    coldest_c: float
    hours_below: float
    one_failed_c: float
    stuck_on_c: float
    peak_duty: float


def sized_plan(scene: Scene) -> Sizing:
    """The least heater of a scene's plan.

    Raises
    ------
    SizingError
        When even a very warm room cannot keep its water at the floor.
    """
    sizing = sized(fleets([scene.plan], scene.weather)[0])
    if not np.isfinite(sizing.needed_w[0]):
        raise SizingError(
            f"even a room at {sizing.setpoint_c[0, 0]:.0f} degC does not keep the water at the floor;"
            " heat the water instead"
        )
    return sizing


def sold_pair(watts: float) -> tuple[float, ...]:
    """The fewest equal heaters, at least two, of a size sold that reach a wattage; none for nothing.

    Two at least, so that one failed leaves half, and one stuck on cooks with half.
    """
    if watts <= 0:
        return ()
    sizes = tables.heater_sizes()
    count = max(2, math.ceil(watts / sizes[-1]))
    return (next(size for size in sizes if count * size >= watts),) * count


def chosen_heater(scene: Scene, sizing: Sizing) -> tuple[HeaterChoice, Run]:
    """What to install and how it fares; also the traced march of (unheated, installed, one failed, one stuck on)."""
    needed_w = float(sizing.needed_w[0])
    owned = scene.plan.heater.units_w
    recommended = sold_pair(needed_w * (1.0 + scene.plan.heater.reserve))
    installed = owned or recommended
    total, largest = sum(installed), max(installed, default=0.0)
    watts = np.array([0.0, total, total - largest, total])
    control = Control(np.repeat(sizing.setpoint_c, 4, axis=1), watts, np.array([0.0, 0.0, 0.0, largest]))
    shown = scene.march(control, trace=True)
    choice = HeaterChoice(
        needed_w=needed_w,
        setpoint_c=float(sizing.setpoint_c.min()),
        installed_w=installed,
        buy_w=() if owned and total >= needed_w else recommended,
        coldest_c=float(shown.coldest_c[1].min()),
        hours_below=float(shown.hours_below[1].sum()),
        one_failed_c=float(shown.coldest_c[2].min()),
        stuck_on_c=min(BOILING_C, float(shown.warmest_c[3].max())),
        peak_duty=float(shown.peak_w[1].max() / total) if total else 0.0,
    )
    return choice, shown

"""Which heater: the least watts that hold the floor, what to buy, and what happens when one fails."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from thermal import tables
from thermal.decisions.search import smallest
from thermal.errors import SizingError
from thermal.march import Run
from thermal.scene import Scene

TOLERANCE_W = 1.0
TOLERANCE_K = 0.05
WARMEST_ROOM_ABOVE_K = 30.0  # how far above the thermostat a room may be heated to keep its water
UNLIMITED_W = 1e9
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


def unheated_and_unlimited(scene: Scene) -> tuple[Run, float]:
    """March without heat and with all the heat asked for; also the setpoint that keeps the water at the floor.

    Raises
    ------
    SizingError
        When even a very warm room cannot keep its water at the floor.
    """
    setpoint = scene.plan.keep.thermostat_c
    if scene.plan.heater.where == "room":
        setpoint = _room_setpoint(scene)
    run = scene.march(scene.heaters(np.array([0.0, UNLIMITED_W]), setpoint_c=setpoint))
    return run, setpoint


def _room_setpoint(scene: Scene) -> float:
    """Coolest room thermostat that keeps the water at the floor with unlimited heat. [degC]"""
    low = scene.plan.keep.floor_c - 5.0
    high = scene.plan.keep.thermostat_c + WARMEST_ROOM_ABOVE_K

    def holds(setpoints: np.ndarray) -> np.ndarray:
        control = scene.heaters(np.full(len(setpoints), UNLIMITED_W))
        warmed = type(control)(np.tile(setpoints, (24, 1)), control.max_w, control.min_w)
        return scene.march(warmed).coldest_c.min(axis=1) >= scene.plan.keep.floor_c

    if not holds(np.array([high]))[0]:
        raise SizingError(
            f"even a room at {high:.0f} degC does not keep the water at the floor; heat the water instead"
        )
    return smallest(holds, low, high, TOLERANCE_K)


def least_watts(scene: Scene, first: Run, setpoint_c: float) -> float:
    """Least heater that keeps every hour of every winter at or above the floor, within 1 W. [W]

    first : the march of `unheated_and_unlimited`; its peak bounds the search.
    """
    floor = scene.plan.keep.floor_c
    if first.coldest_c[0].min() >= floor:
        return 0.0

    def holds(watts: np.ndarray) -> np.ndarray:
        return scene.march(scene.heaters(watts, setpoint_c=setpoint_c)).coldest_c.min(axis=1) >= floor

    return smallest(holds, 0.0, float(first.peak_w[1].max()), TOLERANCE_W)


def sold_pair(watts: float) -> tuple[float, ...]:
    """The fewest equal heaters, at least two, of a size sold that reach a wattage; none for nothing.

    Two at least, so that one failed leaves half, and one stuck on cooks with half.
    """
    if watts <= 0:
        return ()
    sizes = tables.heater_sizes()
    count = max(2, math.ceil(watts / sizes[-1]))
    return (next(size for size in sizes if count * size >= watts),) * count


def chosen_heater(scene: Scene, needed_w: float, setpoint_c: float) -> tuple[HeaterChoice, Run]:
    """What to install and how it fares; also the traced march of (unheated, installed, one failed, one stuck on)."""
    owned = scene.plan.heater.units_w
    recommended = sold_pair(needed_w * (1.0 + scene.plan.heater.reserve))
    installed = owned or recommended
    total, largest = sum(installed), max(installed, default=0.0)
    shown = scene.march(
        scene.heaters(
            np.array([0.0, total, total - largest, total]), np.array([0.0, 0.0, 0.0, largest]), setpoint_c=setpoint_c
        ),
        trace=True,
    )
    choice = HeaterChoice(
        needed_w=needed_w,
        setpoint_c=setpoint_c,
        installed_w=installed,
        buy_w=() if owned and total >= needed_w else recommended,
        coldest_c=float(shown.coldest_c[1].min()),
        hours_below=float(shown.hours_below[1].sum()),
        one_failed_c=float(shown.coldest_c[2].min()),
        stuck_on_c=min(BOILING_C, float(shown.warmest_c[3].max())),
        peak_duty=float(shown.peak_w[1].max() / total) if total else 0.0,
    )
    return choice, shown

"""A winter's kilowatt-hours and money: month by month and path by path, median winter and worst."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal import accounts, prices
from thermal.air import Array
from thermal.march import Run
from thermal.scene import Scene

JOULES_PER_KWH = 3.6e6
UNHEATED, INSTALLED = 0, 1  # designs in a traced march of (unheated, installed, ...)


@dataclass(frozen=True)
class Month:
    """One month of one winter."""

    month: str
    kwh: float
    cost: float
    paths_kwh: dict[str, float]
    room_paths_kwh: dict[str, float]


@dataclass(frozen=True)
class WinterBill:
    """What one winter takes."""

    label: str
    complete: bool
    kwh: float
    cost: float
    other_kwh: float
    other_cost: float


@dataclass(frozen=True)
class Season:
    """All winters' bills, and the months of the median one."""

    bills: tuple[WinterBill, ...]
    median: int
    worst: int
    months: tuple[Month, ...]
    design_at: str
    design_w: float
    design_paths_w: dict[str, float]


def season_of(scene: Scene, run: Run) -> Season:
    """The season of a traced march of (unheated, installed, ...).

    The median winter is a real one: of the complete winters in order of kWh the middle one, the dearer of
    two. Where no winter is complete the longest stands in for it.
    """
    bills = tuple(_bill(scene, run, winter) for winter in range(len(scene.weather.winters)))
    whole = [i for i, bill in enumerate(bills) if bill.complete]
    lengths = [winter.hours for winter in scene.weather.winters]
    ranked = sorted(whole or [int(np.argmax(lengths))], key=lambda i: bills[i].kwh)
    median, worst = ranked[len(ranked) // 2], ranked[-1]
    peak_winter = int(np.argmax(run.peak_w[INSTALLED]))
    design = paths_of(scene, run, peak_winter)
    heat = _heat(scene, run, peak_winter)
    at = int(np.argmax(heat))
    return Season(
        bills=bills,
        median=median,
        worst=worst,
        months=_months(scene, run, median),
        design_at=scene.weather.winters[peak_winter].times()[at].isoformat(),
        design_w=float(heat[at]),
        design_paths_w={name: float(flow[at]) for name, flow in design[0].items()},
    )


def hours_of(scene: Scene, run: Run, winter: int, design: int = INSTALLED) -> accounts.Hours:
    """One winter of one design, ready for the accounts."""
    assert run.trace is not None
    weather = scene.weather
    column = design * len(weather.winters) + winter
    span = slice(weather.spin_up_h, weather.spin_up_h + weather.winters[winter].hours)
    length = weather.winters[winter].hours
    hourly = {
        name: values[:length] for name, values in vars(run.trace).items() if name not in ("start_c", "start_ice_j")
    }
    trace = type(run.trace)(**hourly, start_c=run.trace.start_c, start_ice_j=run.trace.start_ice_j)
    return accounts.Hours(
        trace=trace,
        column=column,
        start_c=run.trace.start_c[:, column],
        start_ice_j=run.trace.start_ice_j[:, column],
        outdoor_c=weather.outdoor_c[span, winter],
        season=np.stack([weather.season_cos[span, winter], weather.season_sin[span, winter]], axis=1),
        hour_of_day=np.arange(span.start, span.stop) % 24,
    )


def paths_of(scene: Scene, run: Run, winter: int) -> tuple[accounts.Paths, accounts.Paths]:
    """Hourly paths of the heated zone and of the whole room; the same where only one of them is modelled."""
    hours = hours_of(scene, run, winter)
    water = accounts.water_paths(scene.plan, scene.network, hours)
    if scene.envelope is None:
        return water, {}
    harmonic = scene.weather.harmonic
    ground = (harmonic.mean_c, harmonic.amplitude_k)
    room = accounts.room_paths(scene.plan, scene.envelope, scene.network, hours, ground)
    return (water, room) if scene.plan.heater.where == "water" else (room, room)


def other_w(scene: Scene) -> Array:
    """Electricity of pump, lights and gains by hour of the day. [W]"""
    pump = scene.plan.pump
    loads = sum(load.power_w * np.array(load.hours) for load in scene.plan.loads)
    return np.asarray(pump.power_w * np.array(pump.hours) + loads)


def _heat(scene: Scene, run: Run, winter: int) -> Array:
    assert run.trace is not None
    column = INSTALLED * len(scene.weather.winters) + winter
    return run.trace.heater_w[: scene.weather.winters[winter].hours, column]


def _bill(scene: Scene, run: Run, winter: int) -> WinterBill:
    season = scene.weather.winters[winter]
    times = season.times()
    price = prices.hourly_price(scene.plan.power, times)
    heat = _heat(scene, run, winter) / 1000.0
    other = other_w(scene)[times.hour] / 1000.0
    charge = scene.plan.power.monthly_charge * len(scene.weather.months(winter))
    return WinterBill(
        label=season.label,
        complete=season.complete,
        kwh=float(run.heater_j[INSTALLED, winter] / JOULES_PER_KWH),
        cost=float(heat @ price) + charge,
        other_kwh=float(other.sum()),
        other_cost=float(other @ price),
    )


def _months(scene: Scene, run: Run, winter: int) -> tuple[Month, ...]:
    times = scene.weather.winters[winter].times()
    label = list(times.strftime("%Y-%m"))
    heated, room = paths_of(scene, run, winter)
    heat = _heat(scene, run, winter) / 1000.0
    price = prices.hourly_price(scene.plan.power, times)
    totals = accounts.monthly({"kwh": heat * 1000.0, "cost": heat * price * 1000.0}, label)
    by_path, by_room = accounts.monthly(heated, label), accounts.monthly(room, label)
    charge = scene.plan.power.monthly_charge
    return tuple(
        Month(name, totals[name]["kwh"], totals[name]["cost"] + charge, by_path[name], by_room.get(name, {}))
        for name in totals
    )

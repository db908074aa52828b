"""Figures that growers measured, beside the 5-95 % band of the program for the same system.

Each point of quality A or B of field_points.json has a plan in field_plans/, which says what the point says and leaves
the rest at presets, ordinary values or ranges. No plan was changed after its band was known. Two points are arithmetic
of the heat capacity of water; their band is that of "everything else" alone.

A bound such as "at most 1,000 W held it" lies inside where the band begins below it; it cannot show a band that is too
high by little, nor one that is too low. A range lies inside where both of its ends do.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd

from thermal.analysis.case import SimulationCase, group_by_topology, network_of
from thermal.analysis.comparison_results import DesignResult
from thermal.analysis.design_study import DesignStudy, design_study, study_results
from thermal.analysis.uncertainty import HIGH, LEAST_OTHER_LN_SD, LOW, OTHER, other_sd
from thermal.analysis.winter_totals import other_w
from thermal.climate.dataset import Header, climate_from
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate
from thermal.core.arrays import Array
from thermal.core.quantities import TEMPERATURE, VOLUME, parse
from thermal.network.build import plan_envelope
from thermal.network.model import Control
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.plan.reader import plan_of, with_settings
from thermal.solver.simulate import simulate

HERE = Path(__file__).parent
DOCUMENT = json.loads((HERE / "field_points.json").read_text("utf-8"))
POINTS = {point["id"]: point for point in DOCUMENT["points"] if point["quality"] in ("A", "B")}
SAMPLES, SEED = 96, 1
DAYS, MEASURED_DAYS = 62, 30  # simulated from 1 December; the air of a garage is that of the last days
F_PER_K, MONTH_H = 1.8, 8766.0 / 12.0
MEASURED = {  # lowest and highest figure that the point's text says; a bound has no lowest. Unit of the figure
    "pond400": (None, 1000.0, "W"),
    "pool1200": (None, 90.0, "W/K"),
    "tank4500": (0.96, 0.96, "°F a day"),
    "change300": (28.0, 28.0, "kW"),
    "tropical": (65.0, 87.0, "kWh a month"),
    "garage_underfloor": (10.0, 16.0, "°F"),  # the bay's range is in it: 10 to 12
    "garage_26f": (
        13.0,
        22.0,
        "°F",
    ),  # the air is mixed in the program: between the reading at the door and the ceiling
}
OUTDOOR_F = {  # mean, and amplitude of the day's wave
    "pond400": (34.0, 12.0),  # night low of 22
    "pool1200": (10.0, 10.0),  # from 0 to 20
    "tropical": (34.0, 0.0),  # not used: the room's temperature is given
    "garage_underfloor": (26.0, 0.0),
    "garage_26f": (26.0, 0.0),
}
TWO_CARS = {  # the ready plan's shares of the perimeter, for 20 ft x 20 ft with a door of 16 ft x 7 ft
    "room.width": "20 ft", "room.side.outside walls.area": "240 ft2", "room.side.door.area": "112 ft2",
    "room.side.wall to the house.area": "268 ft2", "room.side.ceiling.area": "400 ft2",
}  # fmt: skip
VARIANTS: dict[str, list[list[dict[str, Any]]]] = {  # of what a range of numbers cannot vary; every combination
    "pool1200": [[{"tank.top": "loose lid"}, {"tank.top": "snug foam lid"}]],
    "tropical": [[{"tank.top": "loose lid"}, {"tank.top": "open"}]],
    "garage_underfloor": [
        [{"room.side.outside walls.build": build} for build in ("studs with batts", "bare studs and siding")],
        [{"room.side.door.build": build} for build in ("steel door, bare", "steel door, foam-filled")],
        [{}, TWO_CARS],
    ],
}


@dataclass(frozen=True)
class Comparison:
    """A measured figure beside the band of the program, in the unit of the point's text."""

    point: dict[str, Any]
    low: float
    middle: float
    high: float

    @property
    def inside(self) -> bool:
        """Whether the measured figure, both ends of its range, or the bound lies inside the band."""
        lowest, highest, _ = MEASURED[self.point["id"]]
        if lowest is None:
            return self.low <= highest
        return self.low <= lowest and highest <= self.high


def case_of(document: dict[str, Any], mean_f: float, amplitude_f: float) -> SimulationCase:
    """A plan under a daily wave outdoors, coldest at 6:00, over ground with the yearly wave of its weather file."""
    plan = plan_of(document)
    index = pd.date_range("2020-12-01", periods=24 * DAYS, freq="h", tz="UTC")
    wave_f = mean_f - amplitude_f * np.cos(2 * np.pi * (index.hour.to_numpy() - 6) / 24)
    year = load_climate(plan.climate.series).harmonic()
    header = Header("made up", "made up", annual_mean_c=year.mean_c, annual_amplitude_k=year.amplitude_k)
    climate = climate_from(pd.DataFrame({"air_c": (wave_f - 32.0) / F_PER_K}, index=index), header)
    weather = winters_of(climate)
    envelope = plan_envelope(plan, weather.pressure_pa)
    return SimulationCase(plan, climate, weather, network_of(plan, weather), envelope)


@cache
def studies(name: str) -> list[DesignStudy]:
    """The samples of every variant of a point's plan."""
    document = tomllib.loads((HERE / "field_plans" / f"{name}.toml").read_text("utf-8"))
    choices = [
        {key: value for settings in combination for key, value in settings.items()}
        for combination in product(*VARIANTS.get(name, []))
    ]
    cases = [case_of(with_settings(document, settings), *OUTDOOR_F[name]) for settings in choices]
    return [design_study(case, samples=SAMPLES // len(cases), seed=SEED + i) for i, case in enumerate(cases)]


def _sampled(study: DesignStudy) -> range:
    """Numbers of a study's samples, the plan as written left out."""
    return study.samples[1:]


@cache
def results(name: str) -> list[list[DesignResult]]:
    """The results of each study of a point, by number of the design."""
    return [study_results(study) for study in studies(name)]


def heater_w(name: str) -> Array:
    """Heater needed in each sample. [W]"""
    return np.array([one.needed_w for found in results(name) for one in found[1:]])


def heater_kwh_a_month(name: str) -> Array:
    """Heat of the heater in each sample. [kWh]"""
    hours = studies(name)[0].case.weather.winters[0].hours
    return np.array([one.kwh for found in results(name) for one in found[1:]]) * MONTH_H / hours


def other_kwh_a_month(name: str) -> Array:
    """Electricity of pump and light in each sample. [kWh]"""
    plans = [plan for study in studies(name) for plan in study.plans(_sampled(study))]
    return np.array([other_w(plan).mean() for plan in plans]) * MONTH_H / 1000.0


def air_rise_f(name: str) -> Array:
    """Air of the room above outdoors in each sample. [°F]"""
    return np.concatenate([_air_rise_f(study) for study in studies(name)])


def _air_rise_f(study: DesignStudy) -> Array:
    """Air of the room above outdoors in each sample, mean of the last days without a heater. [°F]"""
    case, hours = study.case, 24 * MEASURED_DAYS
    rise = np.zeros(len(_sampled(study)))
    for batch in group_by_topology(study.plans(_sampled(study)), case.weather):
        off = Control(np.zeros((24, len(batch.plans))), np.zeros(len(batch.plans)), np.zeros(len(batch.plans)))
        run = simulate(batch.network, case.forcing, off, batch.floor_c, hourly_output=True)
        assert run.hourly_output is not None
        air_c = run.hourly_output.mean_c[-hours:, batch.network.nodes.index("air"), :]
        rise[batch.positions] = (air_c - case.weather.outdoor_c[-hours:, :]).mean(axis=0)
    return F_PER_K * rise


def with_everything_else(name: str, values: Array) -> Array:
    """A figure of all samples times what no input stands for, as `thermal.analysis.uncertainty` has it."""
    u = np.concatenate([study.hypercube[OTHER] for study in studies(name)])
    return values * np.exp(other_sd(values) * np.array([NormalDist().inv_cdf(value) for value in u]))


def samples_of(name: str) -> Array:
    """The measured figure of a point in all samples of all variants, shape (sample,)."""
    each: dict[str, Callable[[str], Array]] = {
        "pond400": heater_w,
        "pool1200": heater_w,
        "tropical": heater_kwh_a_month,
        "garage_underfloor": air_rise_f,
        "garage_26f": air_rise_f,
    }
    values = with_everything_else(name, each[name](name))
    if name == "tropical":
        return values + other_kwh_a_month(name)
    if name == "pool1200":
        return values / ((POINTS[name]["water_f"] - OUTDOOR_F[name][0]) / F_PER_K)
    return values


def heating_rate_f_a_day() -> float:
    """438 W into 4,500 gal without losses. [°F a day]"""
    return 438.0 * 86400.0 / float(water_capacity(parse("4500 gal", VOLUME))) * F_PER_K


def water_change_kw() -> float:
    """300 gal/h warmed from 40 to 78 °F. [kW]"""
    warming_k = parse("78 degF", TEMPERATURE) - parse("40 degF", TEMPERATURE)
    return float(water_capacity(parse("300 gal", VOLUME) / 3600.0)) * warming_k / 1000.0


ARITHMETIC = {"tank4500": heating_rate_f_a_day, "change300": water_change_kw}


@cache
def comparisons() -> tuple[Comparison, ...]:
    """Every point of quality A and B."""
    found = []
    for name, point in POINTS.items():
        if name in ARITHMETIC:
            middle, factor = ARITHMETIC[name](), math.exp(LEAST_OTHER_LN_SD * NormalDist().inv_cdf(HIGH))
            found.append(Comparison(point, middle / factor, middle, middle * factor))
        else:
            found.append(Comparison(point, *np.quantile(samples_of(name), [LOW, 0.5, HIGH]).tolist()))
    return tuple(found)


def coverage() -> float:
    """Share of the points that lie inside the band. [-]"""
    return float(np.mean([one.inside for one in comparisons()]))


def numbers_in(text: str) -> set[float]:
    """The numbers that a point's text says."""
    return {float(number.replace(",", "")) for number in re.findall(r"\d[\d,]*(?:\.\d+)?", text)}


def lines() -> list[str]:
    """The table of the report."""
    table = ["| point | system | measured | quality | 5-95 % band (median) | inside |", "|---|---|---|---|---|---|"]
    for one in comparisons():
        lowest, _, unit = MEASURED[one.point["id"]]
        inside = ("yes" if one.inside else "no") + (" (a bound)" if lowest is None else "")
        band = f"{_said(one.low)} to {_said(one.high)} {unit} ({_said(one.middle)})"
        size, measured = one.point["size"].replace("ft2", "ft²"), one.point["measured"].replace("W/m2K", "W/m²K")
        table.append(f"| {one.point['id']} | {size} | {measured} | {one.point['quality']} | {band} | {inside} |")
    inside_count = sum(one.inside for one in comparisons())
    return [*table, "", f"Inside: {inside_count} of {len(table) - 2} points, {100 * coverage():.0f} %."]


def _said(value: float) -> str:
    """Two digits, or three in front of which is a 1, so that machines agree."""
    digits = 1 - math.floor(math.log10(value))
    return f"{round(value, digits):,.{max(digits, 0)}f}"


if __name__ == "__main__":
    print("\n".join(lines()))

"""The Python interface: the answer to a plan as a small value, and its winters hour by hour as pandas tables.

>>> from thermal import answer, demo_plan, simulate
>>> found = answer("garage-metric")  # the file of a plan, a plan, or the name of a ready plan
>>> found.heater_needed_w > 0, found.hours_to_minimum > 0
(True, True)
>>> list(found.months.columns)
['kwh', 'cost']
>>> float(round(found.months["kwh"].sum() / found.kwh, 3))
1.0
>>> found.to_frame().shape
(1, 8)
>>> plan = demo_plan()
>>> plan.keep.floor_c
10.0
>>> hours = simulate(plan, heater_w=1200.0, winter=2016)
>>> list(hours.columns)
['outdoor_c', 'soil_c', 'slab_c', 'fabric_c', 'air_c', 'bed_c', 'tank_c', 'heater_w']
>>> len(hours)
5088
>>> bool(hours["tank_c"].min() >= 10.0)
True

A bare room of layered walls, without water, in any hourly weather: what an ideal heater at 20 degC and an ideal cooler
at 27 degC do. Here thirty days of a steady -5 degC under a sky as warm as the air.

>>> import pandas as pd
>>> from thermal import Layer, LayeredRoom, LayeredSide, simulate_layered_rooms, typical_year
>>> wall = Layer(0.009, 0.14, 530.0, 900.0), Layer(0.1, 0.04, 12.0, 840.0)  # outside first: m, W/mK, kg/m3, J/kgK
>>> sides = [LayeredSide(f"{way} wall", way, 10.0, wall) for way in ("north", "east", "south", "west")]
>>> ends = [LayeredSide("roof", "roof", 16.0, wall), LayeredSide("floor", "below", 16.0, wall, inside_emissivity=0.1)]
>>> room = LayeredRoom((*sides, *ends), volume_m3=40.0, air_changes_per_h=0.5, heat_below_c=20.0, cool_above_c=27.0)
>>> dark = {"air_c": -5.0, "infrared_w_m2": 293.2, "ghi_w_m2": 0.0, "dni_w_m2": 0.0, "dhi_w_m2": 0.0}
>>> weather = typical_year(pd.DataFrame(dark, index=range(24 * 30)), latitude=40.0, longitude=-105.0)
>>> [year] = simulate_layered_rooms([room], weather)
>>> round(year.peak_heating_kw, 1), year.cooling_mwh, len(year.air_c)
(0.8, 0.0, 720)
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.analysis.assessment import assess as answer_of
from thermal.analysis.case import hours_of
from thermal.analysis.layered_room_file import layered_rooms_of
from thermal.analysis.layered_room_year import simulate_layered_rooms
from thermal.analysis.many_plans import answers
from thermal.analysis.plan_weather import scene_of
from thermal.climate.library import load_climate
from thermal.climate.typical_year import typical_year
from thermal.core.parallel import processes
from thermal.errors import ClimateError, WattsError
from thermal.network.layered_room import Layer, LayeredRoom, LayeredSide
from thermal.plan.example_plans import DEMO, example_path
from thermal.plan.model import Plan
from thermal.plan.reader import read_plan
from thermal.report.plan_answer import Answer, answer, case_of, plot_months, plot_packages, plot_winter

__all__ = [
    "Answer",
    "Layer",
    "LayeredRoom",
    "LayeredSide",
    "answer",
    "answer_of",
    "answers",
    "demo_plan",
    "layered_rooms_of",
    "load_climate",
    "plot_months",
    "plot_packages",
    "plot_winter",
    "processes",
    "read_plan",
    "scene_of",
    "simulate",
    "simulate_layered_rooms",
    "typical_year",
]


def demo_plan() -> Plan:
    """The plan of the command `demo`.

    Returns
    -------
    Plan
        The plan.

    Examples
    --------
    >>> demo_plan().title
    'Perch and lettuce in Lorraine'
    """
    return read_plan(example_path(DEMO))


def simulate(
    plan: Plan | str | Path, heater_w: float, winter: int | None = None, folder: Path | None = None
) -> pd.DataFrame:
    """One winter of a plan with a heater of a given power, hour by hour.

    Parameters
    ----------
    plan : Plan, str or Path
        The plan, its file, or the name of a ready plan.
    heater_w : float
        Largest power of the heater [W]; 0 for none.
    winter : int, optional
        Year in which the winter starts; the first winter of the weather file by default.
    folder : Path, optional
        Folder where a relative `[climate] file` is looked for; by default that of the plan's file, or the working
        folder for a plan that is no file.

    Returns
    -------
    DataFrame
        Indexed by the local standard time at which each hour starts: `outdoor_c`, the hour's mean outdoor temperature
        [degC]; the temperature of every node at the end of the hour [degC]; `heater_w`, the heater's mean power [W].

    Raises
    ------
    WattsError
        When the power is negative, infinite, or not a number.
    PlanError
        When the plan's file cannot be used.
    ClimateError
        When the weather file cannot be used, or has no such winter.
    ClosureError
        When energy is not conserved.
    """
    if isinstance(heater_w, bool | str) or not 0.0 <= heater_w < math.inf:
        raise WattsError(f"heater_w = {heater_w!r}: write the power of the heater in watts, 0 or more")
    case = case_of(plan, folder, as_dated=winter is not None)
    labels = [winter.label for winter in case.weather.winters]
    if winter is not None and str(winter) not in labels:
        raise ClimateError(f"the weather file has no winter {winter}; it has {', '.join(labels)}")
    index = 0 if winter is None else labels.index(str(winter))
    run = case.simulate(case.heaters(np.array([heater_w])), hourly_output=True)
    hours = hours_of(case, run, index, 0)
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    columns = {"outdoor_c": hours.outdoor_c}
    columns |= {f"{name}_c": hours.end(node, water_nodes) for node, name in enumerate(case.network.nodes)}
    columns["heater_w"] = hours.hourly_output.heater_w[:, hours.column]
    return pd.DataFrame(columns, index=case.weather.winters[index].times().rename("local_standard_time"))

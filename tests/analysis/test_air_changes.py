"""Air changes given by name: leakage areas, set once against a winter at Springfield."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.plan_weather import scene_of
from thermal.core.arrays import Array
from thermal.network.model import thermostat
from thermal.physics.constants import CP_AIR
from thermal.physics.moist_air import dry_air_density
from thermal.plan.reader import plan_of, with_settings
from thermal.solver.simulate import simulate

EXAMPLES = files("thermal") / "plan" / "examples"


def case_of(name: str, **settings: Any) -> SimulationCase:
    document = tomllib.loads((EXAMPLES / f"{name}.toml").read_text("utf-8"))
    changes = {key.replace("_of_", "."): value for key, value in settings.items()}
    return scene_of(plan_of(with_settings({**document, "measure": []}, changes)))


def hourly_air_changes(case: SimulationCase) -> Array:
    """Of the first winter, by the hour. [1/h]"""
    hourly = simulate(case.network, case.forcing, thermostat(11.0, 5000.0), 10.0, hourly_output=True).hourly_output
    density = dry_air_density(case.forcing.outdoor_c, 0.0, case.forcing.pressure_pa)[case.forcing.spin_up_h :, 0]
    hours = min(len(density), len(hourly.leak_w_per_k))
    kg_s = hourly.leak_w_per_k[:hours, 0] / CP_AIR
    return 3600.0 * kg_s / density[:hours] / case.plan.room.volume_m3


@pytest.mark.parametrize(("name", "within"), [("garage-metric", 0.04), ("workshop", 0.04), ("shed-metric", 0.11)])
def test_the_mean_of_a_winter_at_springfield_is_the_named_rate(name, within):
    """data/leakage.toml's likely rate; the bare shed is hardly warmer than outdoors, its system stands in a hut."""
    case = case_of(name, climate_of_winters=[2016])
    likely = data.leakage()[case.plan.room.leakiness][1]
    assert case.plan.room.mean_air_changes_per_h == pytest.approx(likely)
    assert hourly_air_changes(case).mean() == pytest.approx(likely, rel=within)


def test_more_air_leaks_in_when_it_freezes_and_on_a_windy_coast():
    inland = case_of("garage-metric", climate_of_winters=[2016])
    changes = hourly_air_changes(inland)
    outdoor_c = inland.forcing.outdoor_c[inland.forcing.spin_up_h :, 0][: len(changes)]
    coldest, mildest = np.argsort(outdoor_c)[:48], np.argsort(outdoor_c)[-48:]
    assert changes[coldest].mean() > 1.1 * changes[mildest].mean()
    coast = case_of("garage-metric", climate_of_series="sand-point-ak", climate_of_winters="all")
    assert coast.forcing.wind_m_s.mean() > 4.0
    assert hourly_air_changes(coast).mean() > 1.2 * changes.mean()

"""Hours of condensation on the slab, windows and walls of tanks, and hours of fog, against weather made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.analysis.quick import assess
from thermal.analysis.case import hours_of
from thermal.analysis.moisture import HUT_SKIN, moisture_hours
from thermal.physics.moist_air import dew_point, humidity_ratio, water_saturation_pressure
from thermal.report.json_csv import assessment_json
from thermal.report.sentences import damp

WINDOW = {"name": "window", "area": "2 m2", "build": "single glazing", "faces": "outdoors"}
WALL = {"name": "wall", "area": "60 m2", "build": "studs with batts", "faces": "outdoors"}
COLD = {"climate.winters": [2016], "climate.coldest_night": "none"}
HUT = {"length": "3 m", "width": "3 m", "height": "2 m", "build": "foam hut"}


@pytest.fixture
def hand_made(case_with):
    """A winter of which every hour has the temperatures and the humidity that a test writes."""

    def hours(case, air_c, humidity, **nodes):
        run = case.simulate(case.heaters(np.array([2000.0])), hourly_output=True)
        one = hours_of(case, run, 0, 0)
        ratio = humidity_ratio(humidity * water_saturation_pressure(air_c), case.weather.pressure_pa)
        means = one.hourly_output.mean_c.copy()
        for name, value in {"air": air_c, **nodes}.items():
            means[:, case.network.nodes.index(name), one.column] = value
        output = replace(one.hourly_output, mean_c=means, ratio=np.full_like(one.hourly_output.ratio, ratio))
        return replace(one, hourly_output=output, outdoor_c=np.full_like(one.outdoor_c, -10.0))

    return hours


def wet(result):
    return {one.surface: one.condensation_hours > 0 for one in result.surfaces}


def test_a_thaw_wets_a_cold_slab_below_the_dew_point_only(case_with, hand_made):
    """Air of 10 degC at 80 % has its dew point at 6.7 degC (psychrometric chart).

    The film has 0.17 of 0.17 + min(R, 0.05) m2K/W from air to slab (ISO 6946 table 7): all of the drop over bare
    concrete counted as R 0, at least 0.77 of it over any floor. A slab of 2 degC is wet: at most 10 - 0.77 x 8 = 3.8.
    """
    case = case_with(COLD)
    assert float(dew_point(0.8 * water_saturation_pressure(10.0))) == pytest.approx(6.7, abs=0.1)
    cold = moisture_hours(case, hand_made(case, 10.0, 0.80, slab=2.0))
    mild = moisture_hours(case, hand_made(case, 10.0, 0.80, slab=8.0))
    assert (wet(cold)["slab"], wet(mild)["slab"]) == (True, False)


def test_a_single_pane_runs_wet_where_a_wall_stays_dry(case_with, hand_made):
    """At 10 degC inside and -10 degC outside a pane of U about 5.7 has its surface at 10 - 0.13 x 5.7 x 20 = -4.8."""
    case = case_with({**COLD, "room.side": [WALL, WINDOW]})
    result = moisture_hours(case, hand_made(case, 10.0, 0.60, slab=9.0))
    assert wet(result)["window"]
    assert "wall" not in wet(result)
    assert not wet(moisture_hours(case, hand_made(case, 10.0, 0.20, slab=9.0)))["window"]


def test_a_bare_tank_sweats_and_an_insulated_one_does_not(case_with, hand_made):
    """Air of 15 degC at 80 % has its dew point at 11.6 degC. Water of 5 degC behind R 0.015: 15 - 0.13/0.145 x 10 = 6.

    Behind 50 mm of foam, R above 1.3: 15 - 0.13/1.43 x 10 = 14.1, dry.
    """
    bare, foam = (case_with({**COLD, "tank.insulation": text}) for text in ("none", "XPS 50 mm"))
    found = [wet(moisture_hours(case, hand_made(case, 15.0, 0.80, tank=5.0, slab=14.0))) for case in (bare, foam)]
    tank = f"{bare.plan.tanks[0].name} walls"
    assert [one[tank] for one in found] == [True, False]
    warm = hand_made(bare, 15.0, 0.80, tank=14.0, slab=14.0)  # 15 - 0.13/0.145 x 1 = 14.1, whatever it is outdoors
    assert not wet(moisture_hours(bare, warm))[tank]


@pytest.mark.parametrize(("humidity", "foggy"), [(0.97, False), (0.99, True)])
def test_fog_is_air_that_is_saturated_itself(case_with, hand_made, humidity, foggy):
    hours = hand_made(case_with(COLD), 10.0, humidity)
    assert moisture_hours(case_with(COLD), hours).fog_hours == (len(hours.outdoor_c) if foggy else 0)


def test_in_a_hut_its_own_floor_and_vessels_count_and_no_window(case_with, hand_made):
    case = case_with({**COLD, "room.side": [WALL, WINDOW], "hut": HUT})
    result = moisture_hours(case, hand_made(case, 0.0, 0.80, hut=10.0, slab=9.9, tank=9.9))
    assert result.side == HUT_SKIN
    assert "window" not in wet(result)
    assert f"{case.plan.tanks[0].name} walls" in wet(result)


def test_a_given_air_temperature_has_no_surfaces(case_with):
    case = case_with({**COLD, "room.temperature": "4 degC"})
    run = case.simulate(case.heaters(np.array([2000.0])), hourly_output=True)
    assert moisture_hours(case, hours_of(case, run, 0, 0)).surfaces == ()


def test_json_and_the_page_say_the_same_hours(case_with):
    """An open, warm tank in a tight room with one pane: the pane runs wet in a real winter."""
    answer = assess(case_with({**COLD, "room.side": [WALL, WINDOW], "tank.top": "open"}))
    content = assessment_json(answer)["moisture"]
    hours = {one["surface"]: one["condensation_hours"] for one in content["surfaces"]}
    assert {"side", "condensation_hours", "mould_hours", "fog_hours", "surfaces"} == set(content)
    assert 0 < hours["window"] <= 8784
    assert f"the window for {hours['window']:,} h" in damp(answer)
    assert ("fog" in damp(answer)) == (content["fog_hours"] > 0)

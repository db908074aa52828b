"""Sampling of what is not known: the draws themselves against scipy, bands against their own promises."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from thermal.analysis.design_study import design_study, study_results, uncertainty_of
from thermal.analysis.plan_weather import scene_of
from thermal.analysis.uncertainty import sampled_plans, unknowns
from thermal.climate.forcing import SunAndSky
from thermal.core.distributions import quantile
from thermal.core.latin_hypercube import latin_hypercube
from thermal.errors import PlanError
from thermal.plan.reader import plan_of


@given(st.floats(0.001, 0.999), st.floats(-50, 50), st.floats(0.01, 50), st.floats(0, 1), st.booleans())
def test_quantiles_are_those_of_the_triangular_distribution(u, low, width, peak, falling):
    """scipy.stats.triang is the reference; a falling spread is its mirror."""
    known = stats.triang.ppf(u, peak, loc=low, scale=width)
    if falling:
        spread = (low + width, low + width - peak * width, low)
        known = low + width - (stats.triang.ppf(u, peak, loc=0.0, scale=width))
    else:
        spread = (low, low + peak * width, low + width)
    assert quantile(u, spread) == pytest.approx(known, abs=1e-6 * max(1.0, abs(low) + width))


def test_each_slot_of_the_hypercube_is_drawn_once():
    """McKay, Beckman & Conover 1979: one sample in each of n equal slots of every unknown."""
    drawn = latin_hypercube(["a", "b"], 50, seed=3)
    for one in drawn.values():
        assert sorted(np.floor(one * 50).astype(int)) == list(range(50))
    assert abs(np.corrcoef(drawn["a"], drawn["b"])[0, 1]) < 0.05
    assert (latin_hypercube(["a"], 50, seed=3)["a"] == drawn["a"]).all()
    assert (latin_hypercube(["a"], 50, seed=4)["a"] != drawn["a"]).any()


@pytest.fixture(scope="module")
def short(workshop_text):

    document = tomllib.loads(workshop_text) | {"measure": []}
    document["climate"]["winters"] = [2016]
    return document


def test_presets_and_ranges_are_the_unknowns(short):
    plan = plan_of({**short, "unknown": [{"key": "room.house_temperature", "low": "14 degC", "high": "20 degC"}]})
    found = unknowns(plan)
    assert found["air changes: ordinary"] == (0.5, 1.0, 2.0)
    assert found["room.house_temperature"] == (14.0, 17.0, 20.0)
    houses = [one.room.house_c for one in sampled_plans(plan, latin_hypercube(list(found), 30, 0), range(30))]
    assert 14.0 < min(houses) < max(houses) < 20.0
    assert np.std(houses) > 1.0


@pytest.mark.parametrize(
    ("unknown", "said"),
    [
        ({"key": "room.house_temperature", "low": "14 degC", "high": "68 degF"}, "written alike"),
        ({"key": "room.hous_temperature", "low": "14 degC", "high": "20 degC"}, "did you mean 'house_temperature'"),
        ({"key": "power.price", "low": 0.1, "high": 0.2}, "may not be set here"),
        ({"key": "room.air_changes", "low": 0.5, "likely": 3, "high": 2}, "outside low and high"),
        ({"key": "room.air_changes", "low": "tight", "high": "gappy"}, "no numbers"),
    ],
)
def test_ranges_that_cannot_be_are_refused(short, unknown, said):
    with pytest.raises(PlanError, match=said):
        plan_of({**short, "unknown": [unknown]})


@pytest.fixture(scope="module")
def spreads(short):
    exact = {**short, "room": {**short["room"], "air_changes": 1.0}}
    ranges = [
        [{"key": "room.air_changes", "low": 0.9, "likely": 1.0, "high": 1.1}],
        [{"key": "room.air_changes", "low": 0.4, "likely": 1.0, "high": 2.5}],
    ]
    plans = [plan_of({**exact, "unknown": one}) for one in ([], *ranges)]
    return [uncertainty(plan) for plan in plans]


def uncertainty(plan):
    study = design_study(scene_of(plan), samples=40, seed=1)
    return uncertainty_of(study, study_results(study))


def test_what_no_input_stands_for_shrinks_as_the_inputs_widen(spreads):
    """sqrt(0.23^2 - inputs^2), at least 0.10; so no wider input makes the whole narrower."""
    none, narrow, wide = (spread.other_ln_sd for spread in spreads)
    assert none >= narrow > wide >= 0.10
    for spread in spreads:
        band = spread.bands["needed_w"]
        assert np.log(band.high / band.low) / (2 * 1.645) == pytest.approx(0.23, abs=0.05)  # 40 samples
    by_name = [{driver.name: driver for driver in spread.drivers} for spread in spreads]
    assert by_name[2]["room.air_changes"].share > 2.0 * by_name[1]["room.air_changes"].share
    assert all(driver.measure_it for driver in spreads[2].drivers)


def test_bands_hold_the_likely_figure_and_are_reproducible(spreads, short):
    band = spreads[0].bands["needed_w"]
    assert band.low < band.middle < band.high
    assert band.low < band.likely < band.high
    again = uncertainty(plan_of({**short, "room": {**short["room"], "air_changes": 1.0}}))
    assert again == spreads[0]


def test_a_small_heater_holds_in_some_draws_only(short):
    small = {**short, "heater": {"units": ["1150 W"]}}
    found = uncertainty(plan_of(small))
    assert 0.1 < found.chance_holds < 0.95


def test_what_the_plan_states_is_not_sampled_twice(short):
    """Bridges are in the room's heat loss unless the plan states them; a stated house temperature is known."""
    names = unknowns(plan_of(short))
    assert {"heat loss of the water", "heat loss of the room", "ground: outdoor swing", "ground: clay or silt"} <= set(
        names
    )
    assert {"house temperature", "attic: roof", "contact under vessels", "heat capacity of the room"} <= set(names)
    assert "thermal bridges: usual" not in names
    room = {**short["room"], "bridges": "many", "house_temperature": "18 degC"}
    stated = unknowns(plan_of({**short, "room": room}))
    assert "thermal bridges: many" in stated
    assert "house temperature" not in stated
    assert "humidity outdoors" not in unknowns(plan_of(short), humidity_assumed=False)


def test_samples_are_as_wide_as_metered_systems(demo_uncertainty):
    """The issue's total of 0.21 to 0.25 of the logarithm, and its least band, -20/+25 %."""
    for figure in ("needed_w", "kwh"):
        band = demo_uncertainty.bands[figure]
        assert np.log(band.high / band.low) / (2 * 1.645) == pytest.approx(0.23, abs=0.02)
        assert band.low < 0.8 * band.middle
        assert band.high > 1.25 * band.middle


def test_heaters_to_buy_are_enough_in_nine_of_ten_samples(demo_uncertainty):
    assert demo_uncertainty.chance_holds >= 0.9
    assert sum(demo_uncertainty.heater_w) >= demo_uncertainty.enough_w
    band = demo_uncertainty.bands["needed_w"]
    assert band.middle < demo_uncertainty.enough_w < band.high
    assert min(demo_uncertainty.heater_r2, demo_uncertainty.kwh_r2) > 0.9


@pytest.fixture(scope="module")
def demo_uncertainty(workshop_text):
    return seeded(workshop_text, 0)


def seeded(text, seed):
    document = tomllib.loads(text) | {"measure": []}
    study = design_study(scene_of(plan_of(document)), samples=200, seed=seed)
    return uncertainty_of(study, study_results(study))


@pytest.mark.slow
def test_two_seeds_agree(workshop_text, demo_uncertainty):
    """200 samples: the median within 2 %, the power to buy within 4 %."""
    other = seeded(workshop_text, 1)
    for figure in ("needed_w", "kwh"):
        assert other.bands[figure].middle == pytest.approx(demo_uncertainty.bands[figure].middle, rel=0.02)
    assert other.enough_w == pytest.approx(demo_uncertainty.enough_w, rel=0.04)


def test_every_unknown_factor_of_a_calibration_replaces_what_it_settled(short):
    fitted = plan_of({**short, "fit": {"room": 1.2, "room_sd": 0.05, "residual": 0.06}})
    names = unknowns(fitted)
    assert names["calibrated sides of the room"].ln_sd == pytest.approx(0.05)
    assert not [name for name in names if name.startswith(("side", "attic", "heat loss of the room"))]
    study = design_study(scene_of(fitted), samples=40, seed=1)
    assert uncertainty_of(study, study_results(study)).other_ln_sd == pytest.approx(0.06)


def test_sun_and_sky_are_uncertain_only_where_they_count(short):
    """The sky where the file does not tell it, the colour of walls where it has sun, the cloud's factor under cloud."""
    plan = plan_of(short)
    kinds = {
        "nothing read": unknowns(plan),
        "sun": unknowns(plan, outdoors=SunAndSky("measured", "dew point and sun")),
        "cloud": unknowns(plan, outdoors=SunAndSky("cloud", "dew point and cloud")),
        "no sky": unknowns(plan_of({**short, "climate": {**short["climate"], "sky": False}})),
    }
    inputs = "sky below the air", "sun: colour of outer surfaces", "sun: from cloud"
    found = {kind: tuple(name in names for name in inputs) for kind, names in kinds.items()}
    assert found == {
        "nothing read": (True, False, False),
        "sun": (False, True, False),
        "cloud": (False, True, True),
        "no sky": (False, False, False),
    }

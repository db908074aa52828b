"""What must hold whatever the plan: books close, columns are independent, more insulation never costs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.network.build import build_network
from thermal.network.model import join_networks, thermostat
from thermal.plan.reader import plan_of, with_settings
from thermal.solver.results import OutputRequest
from thermal.solver.simulate import _every_column, _simulate_in, simulate

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again

SHORT_DAYS = 60


def short(forcing, first=1):
    """Sixty winter days of one winter, so that a law costs half a second."""
    cut = {name: getattr(forcing, name)[60 * 24 :, first : first + 1] for name in
           ("outdoor_c", "humidity_ratio", "wind_m_s", "season_cos", "season_sin")}  # fmt: skip
    cut["columns"] = forcing.columns[60 * 24 :, :, first : first + 1]
    end = np.array([forcing.spin_up_h + SHORT_DAYS * 24])
    return replace(forcing, **cut, end_h=end, marks=np.zeros((0, 1), dtype=int))


def network_of(document, case, **settings):
    document = {**document, "measure": []}
    harmonic = case.weather.harmonic
    plan = plan_of(with_settings(document, settings))
    return build_network(plan, case.weather.pressure_pa, harmonic.mean_c, harmonic.amplitude_k)


VARIANTS = {
    "bare": {},
    "night pump": {"pump.hours": "06:00-22:00"},
    "leaky": {"room.leakage_area": "300 cm2"},
    "heated room": {"heater.where": "room"},
    "given room": {"room.temperature": "6 degC"},
    "lids": {"tank.top": "snug foam lid", "bed.top": "loose lid"},
}


@pytest.mark.parametrize("name", VARIANTS)
def test_the_books_close(workshop, case_with, name):
    case = case_with()
    network = network_of(workshop, case, **VARIANTS[name])
    control = thermostat(11.0, np.array([0.0, 500.0, 1e9]))
    given = (
        network.take(np.zeros(3, int)),
        case.forcing,
        control,
        10.0,
        1,
        False,
        None,
        OutputRequest(),
        _every_column(3, len(case.forcing.end_h)),
    )
    assert _simulate_in(*given, np.float32).closure.max() < 1e-6  # DESIGN section 4; `simulate` would turn to double
    assert _simulate_in(*given, float).closure.max() < 1e-9


def test_column_i_equals_run_i_alone(workshop, case_with):
    case = case_with()
    variants = [VARIANTS[name] for name in ("bare", "night pump", "leaky", "lids")]
    networks = [network_of(workshop, case, **one) for one in variants]
    watts = np.array([0.0, 300.0, 700.0, 1e9])
    together = simulate(join_networks(networks), case.forcing, thermostat(11.0, watts), 10.0)
    for i, network in enumerate(networks):
        alone = simulate(network, case.forcing, thermostat(11.0, watts[i]), 10.0)
        for name in ("coldest_c", "warmest_c", "heater_j", "peak_w"):
            np.testing.assert_allclose(getattr(together, name)[i], getattr(alone, name)[0], rtol=1e-9, atol=1e-9)


def test_single_precision_moves_nothing_that_matters(workshop, case_with):
    """Double precision is the reference; 1e-4 K is a hundredth of what the hourly step itself is off."""
    case = case_with()
    network = network_of(workshop, case).take(np.zeros(3, int))
    control = thermostat(11.0, np.array([0.0, 500.0, 1e9]))
    columns = _every_column(3, len(case.forcing.end_h))
    single, double = (
        _simulate_in(network, case.forcing, control, 10.0, 1, False, None, OutputRequest(), columns, precision)
        for precision in (np.float32, float)
    )
    np.testing.assert_allclose(single.coldest_c, double.coldest_c, atol=1e-4)
    np.testing.assert_allclose(single.heater_j, double.heater_j, rtol=1e-5)
    np.testing.assert_allclose(single.hours_below, double.hours_below, atol=1.0)


def test_halving_the_step_moves_the_water_little(workshop, case_with):
    case = case_with()
    network = network_of(workshop, case)
    forcing = short(case.forcing)
    once, twice = (simulate(network, forcing, thermostat(11.0, 600.0), 10.0, substeps=n) for n in (1, 2))
    assert abs(once.coldest_c - twice.coldest_c).max() < 0.05
    np.testing.assert_allclose(once.heater_j, twice.heater_j, rtol=3e-3)


@settings(max_examples=12, deadline=None)
@given(
    side=st.sampled_from(["outside walls", "door", "ceiling"]),
    r=st.floats(0.05, 6.0),
    more=st.floats(0.05, 4.0),
)
def test_lower_r_of_a_side_never_lowers_the_heat(workshop_text, case_with, side, r, more):
    import tomllib

    case, document = case_with(), tomllib.loads(workshop_text)
    key = f"room.side.{side}.build"
    networks = [network_of(document, case, **{key: f"RSI-{value:.4f}"}) for value in (r, r + more)]
    run = simulate(join_networks(networks), short(case.forcing), thermostat(np.full(2, 11.0), 1e9), 10.0)
    assert run.heater_j[0, 0] >= run.heater_j[1, 0] - 1.0


@settings(max_examples=12, deadline=None)
@given(floor=st.floats(4.0, 20.0), more=st.floats(0.01, 6.0), watts=st.sampled_from([400.0, 1e9]))
def test_raising_the_floor_never_lowers_the_heat(workshop_text, case_with, floor, more, watts):
    case = case_with()
    control = thermostat(np.array([floor + 1.0, floor + more + 1.0]), watts)
    run = simulate(case.network.take(np.zeros(2, int)), short(case.forcing), control, floor)
    assert run.heater_j[1, 0] >= run.heater_j[0, 0] - 1.0


def test_a_bigger_heater_never_leaves_colder_water(case_with):
    case = case_with()
    run = simulate(
        case.network.take(np.zeros(8, int)), short(case.forcing), thermostat(11.0, np.linspace(0, 1400, 8)), 10.0
    )
    assert (np.diff(run.coldest_c[:, 0]) >= -1e-9).all()


def test_still_air_of_one_temperature_stays_put(workshop, case_with):
    """No forcing: everything at one temperature, no gains, saturated air: nothing moves."""
    case = case_with()
    quiet = {"pump.power": "0 W", "room.lights.power": "0 W", "room.house_temperature": "8 degC",
             "water.tap_temperature": "8 degC", "bed.transpiration": "none"}  # fmt: skip
    document = with_settings({**workshop, "measure": []}, quiet)
    network = build_network(plan_of(document), case.weather.pressure_pa, 8.0, 0.0)
    forcing = short(case.forcing)
    from thermal.physics.moist_air import humidity_ratio, saturation_pressure

    wet = float(humidity_ratio(saturation_pressure(8.0), forcing.pressure_pa))
    forcing = replace(forcing, outdoor_c=np.full_like(forcing.outdoor_c, 8.0),
                    humidity_ratio=np.full_like(forcing.humidity_ratio, wet))  # fmt: skip
    run = simulate(network, forcing, thermostat(0.0, 0.0), 5.0)
    assert run.coldest_c[0, 0] == pytest.approx(8.0, abs=2e-3)
    assert run.warmest_c[0, 0] == pytest.approx(8.0, abs=2e-3)


def test_more_volume_swings_less_overnight(workshop, case_with):
    """Common practice, no source: deeper beds and more water swing less."""
    case = case_with()
    networks = [network_of(workshop, case, **{"tank.water_depth": depth}) for depth in ("0.4 m", "0.8 m")]
    run = simulate(
        join_networks(networks), short(case.forcing), thermostat(np.full(2, 0.0), 0.0), 10.0, hourly_output=True
    )
    daily = run.hourly_output.water_c[:, -1].reshape(-1, 24, 2)
    swing = (daily.max(axis=1) - daily.min(axis=1)).mean(axis=0)
    assert swing[1] < 0.9 * swing[0]


def test_freezing_water_waits_at_zero_and_gives_its_heat(case_with):
    case = case_with()
    run = simulate(case.network, case.forcing, thermostat(0.0, 0.0), 10.0, hourly_output=True)
    assert run.coldest_c.min() == pytest.approx(0.0, abs=1e-6)
    assert run.hourly_output.ice_j[:, -1].max() > 1e6

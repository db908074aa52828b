"""A dehumidifier and a fan by humidity against vapour balances worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from thermal.data.dehumidifiers import dehumidifier_kinds
from thermal.network.drying_air import with_drying
from thermal.physics.dehumidifier import removal_share
from thermal.plan.damp_devices import Dehumidifier, HumidityFan
from thermal.solver.drying import Dryer, dryer_of, fan_air, heat_of_drying, set_humidity_ratio

L_PER_DAY = 1.0 / 86400.0  # kg/s


@pytest.fixture(scope="module")
def network(case_with):
    return case_with({"climate.winters": [2016], "climate.coldest_night": "none"}).network


def room_with(network, dehumidifier=None, fan=None, condensing_kg_s=None):
    """Its air; with some conductance to the coldest side in place of its own."""
    room = with_drying(network, dehumidifier, fan).room_air
    return room if condensing_kg_s is None else replace(room, condensing_kg_s=np.array([condensing_kg_s]))


@pytest.mark.parametrize(("capacity", "humidity_held"), [(10.0, True), (1.0, False)])
def test_steady_state_takes_what_is_made_or_what_it_can(capacity, humidity_held):
    """5 L/day of vapour into 40 kg/h of air change from 3 to 6 g/kg: 2.88 L/day leave with the air, 2.12 are left.

    A larger dehumidifier takes these 2.12 L/day; one of 1 L/day leaves 3 + 4/0.96 = 7.17 g/kg.
    """
    made, change, outside, held = 5.0 * L_PER_DAY, 40.0 / 3600.0, 3e-3, 60.0 / 3600.0
    dryer = Dryer(np.array([capacity * L_PER_DAY]), np.array([100.0]), 6e-3, held + change, 0.0, 0.0)
    ratio = np.array([3e-3])
    for _ in range(200):
        dry = (held * ratio + change * outside + made) / dryer.demand_kg_s
        taken = dryer.vapour_kg_s(dry)
        ratio = dry - taken / dryer.demand_kg_s
    per_day = 24.0 * 40.0 * 3e-3
    assert per_day == pytest.approx(2.88)
    if humidity_held:
        assert ratio == pytest.approx(6e-3)
        assert taken / L_PER_DAY == pytest.approx(5.0 - 2.88)
        assert dryer.electric_w(taken) == pytest.approx(100.0 * 2.12 / 10.0)
    else:
        assert ratio == pytest.approx(3e-3 + 4.0 / 960.0)
        assert taken / L_PER_DAY == pytest.approx(1.0)
        assert dryer.electric_w(taken) == pytest.approx(100.0)


def test_a_wet_side_leaves_less_to_take():
    """At 6 g/kg a side of 5 g/kg with 0.01 kg/s takes 1e-5 kg/s by itself."""
    dryer = Dryer(1.0, 100.0, 6e-3, 0.03, 0.01, 5e-3)
    assert dryer.vapour_kg_s(8e-3) == pytest.approx(0.03 * 2e-3 - 0.01 * 1e-3)
    assert dryer.vapour_kg_s(6.1e-3) == 0.0  # what condenses is enough


def test_rated_capacity_at_the_rating_point_and_less_in_the_cold():
    """One at 26.7 degC and 60 %; the curve as published gives 0.648 at 18.3 degC (65 degF)."""
    kind = dehumidifier_kinds()["compressor"]

    def share(air_c, humidity=0.6):
        return float(removal_share(air_c, *kind.at_humidity(humidity), kind.stops_c, kind.full_c))

    assert share(26.7) == pytest.approx(1.0, abs=0.02)
    by_hand = -1.162525707 + 0.02271469 * 18.3 - 0.000113208 * 18.3**2 + 0.021110538 * 60 - 0.0000693034 * 3600
    assert share(18.3) == pytest.approx(by_hand + 0.000378843 * 18.3 * 60, rel=1e-9)
    assert share(18.3) == pytest.approx(0.648, abs=0.001)
    assert share(26.7, 0.4) < share(26.7) < share(26.7, 0.8)
    assert share(5.0) == share(-3.0) == 0.0
    assert 0.0 < share(7.5) < share(12.0) < share(18.3)
    desiccant = dehumidifier_kinds()["desiccant"]
    shares = [
        float(removal_share(air_c, *desiccant.at_humidity(0.6), desiccant.stops_c, desiccant.full_c))
        for air_c in (20.0, 2.0, 1.0, 0.0)
    ]
    assert shares == pytest.approx([1.0, 1.0, 0.5, 0.0], abs=1e-6)


def test_capacity_and_humidity_of_a_plan_reach_the_solver(network):
    device = Dehumidifier(12.0 * L_PER_DAY, 250.0, 0.5, "desiccant")
    dryer = dryer_of(room_with(network, device), np.array([10.0]), np.array([0.05]), np.array([4e-3]), 101325.0)
    assert dryer.capacity_kg_s / L_PER_DAY == pytest.approx(12.0 * 50.0 / 60.0, rel=1e-6)
    assert dryer.power_w == 250.0
    assert dryer.set_ratio == pytest.approx(0.622 * 0.5 * 1228.0 / (101325.0 - 614.0), rel=2e-3)  # 1,228 Pa at 10 degC
    assert dryer_of(room_with(network), np.array([10.0]), 0.05, 4e-3, 101325.0) is None


def test_its_heat_is_its_electricity_and_the_heat_of_the_vapour():
    """8.64 L/day is 0.1 g/s, and 2.5 MJ/kg of it 250 W."""
    assert heat_of_drying(8.64 * L_PER_DAY, 150.0) == pytest.approx(150.0 + 250.0)


FAN = HumidityFan(60.0 / 3600.0, 20.0, 0.5)


@pytest.mark.parametrize(
    ("made_l_per_day", "outdoor_share", "kg_per_h"),
    [
        (2.0, 0.4, None),  # as much as holds it
        (50.0, 0.4, 72.0),  # all it can: 60 m3/h of 1.2 kg/m3
        (0.1, 0.4, 0.0),  # the air change is enough
        (50.0, 1.1, 0.0),  # outdoor air is moister than the set humidity
    ],
)
def test_a_fan_brings_the_air_that_holds_its_humidity(network, made_l_per_day, outdoor_share, kg_per_h):
    """Steady: made = (change + fan) (W_set - W_out)."""
    room, change = room_with(network, fan=FAN, condensing_kg_s=0.0), 10.0 / 3600.0
    set_ratio = set_humidity_ratio(0.5, 12.0, 101325.0)
    made = made_l_per_day * L_PER_DAY
    vapour = made + 2e-3 * set_ratio, 2e-3  # water that gives off 2e-3 (W_water - W_set) as part of what is made
    air, watts = fan_air(room, (5.0, 12.0), vapour, change, (outdoor_share * set_ratio, 1.2), 101325.0)
    expected = made / (set_ratio * (1.0 - outdoor_share)) - change if kg_per_h is None else kg_per_h / 3600.0
    assert air == pytest.approx(expected, abs=1e-12)
    assert watts == pytest.approx(20.0 * air * 3600.0 / 72.0)
    if kg_per_h is None:
        assert 0.0 < air * 3600.0 < 72.0

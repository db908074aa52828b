"""No heater to buy and no circuit exceeds its limit, and the heaters are enough, whatever the need and the circuits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal import data
from thermal.analysis.circuit import CircuitSupply, continuous_limit, supply_of
from thermal.analysis.circuit_layout import fits_given_circuits, layout
from thermal.analysis.heater_units import MOST_ON_CIRCUIT, heaters_to_buy, installed_heaters, largest_set, watts_to_buy
from thermal.plan.circuits import CIRCUIT_A, CIRCUIT_V
from thermal.plan.reader import plan_of, with_settings

NONE_S_LOAD = 1e-6  # W, rounding of sums
US_15, US_20, EU_16 = "15 A 120 V", "20 A 120 V", "16 A 230 V"
breakers = st.builds(
    lambda amperes, volts: f"{amperes:g} A {volts:g} V",
    st.integers(*map(int, CIRCUIT_A)),
    st.integers(*map(int, CIRCUIT_V)),
)
household = st.sampled_from(["10 A 120 V", US_15, US_20, "13 A 230 V", EU_16, "30 A 240 V", "3 A 230 V"])
circuits = st.lists(st.one_of(household, breakers), min_size=1, max_size=4).map(tuple)
supplies = st.builds(CircuitSupply, circuits, st.floats(0.0, 3000.0))


def test_80_percent_of_a_circuit():
    """NEC 210.20(A): 15 A at 120 V may carry 1,440 W without a break, 20 A 1,920 W (refs electrical.json)."""
    assert continuous_limit(US_15) == 1440.0
    assert continuous_limit(US_20) == 1920.0


@settings(max_examples=400, deadline=None)
@given(st.floats(0.1, 60e3), supplies)
def test_heaters_to_buy_fit_their_circuits_and_are_enough(watts, supply):
    heaters = heaters_to_buy(watts, supply)
    assert sum(heaters) >= watts - NONE_S_LOAD
    assert len(heaters) >= 2
    assert set(heaters) <= set(data.heater_sizes())
    circuits = layout(heaters, supply)
    for index, circuit in enumerate(circuits):
        others = supply.other_w if index == 0 else 0.0
        assert circuit.load_w == pytest.approx(sum(circuit.heaters_w) + others)
        assert circuit.limit_w == pytest.approx(continuous_limit(circuit.breaker))
        assert not circuit.heaters_w or circuit.load_w <= circuit.limit_w + 1e-3
        assert max(circuit.heaters_w, default=0.0) <= circuit.limit_w + NONE_S_LOAD
    assert sorted(heater for circuit in circuits for heater in circuit.heaters_w) == sorted(heaters)
    assert [circuit.breaker for circuit in circuits][:1] == [supply.circuits[0]]


@settings(max_examples=200, deadline=None)
@given(st.floats(0.1, 20e3), supplies)
def test_no_other_size_needs_fewer_further_circuits(watts, supply):
    """Every size by hand: as many heaters as it takes, at most three on a circuit, the rest on further ones."""

    def by_hand(size: float) -> float:
        count, on_new = (
            max(2, math.ceil((watts - 1e-6) / size)),
            math.floor((continuous_limit(supply.largest) + 1e-6) / size),
        )
        there = sum(min(3, max(0, math.floor((free + 1e-6) / size))) for free in supply.free_w)
        return max(0, math.ceil((count - there) / min(3, on_new))) if on_new else math.inf

    chosen = layout(heaters_to_buy(watts, supply), supply)
    assert sum(not circuit.given for circuit in chosen) <= min(by_hand(size) for size in data.heater_sizes())


@settings(max_examples=200, deadline=None)
@given(st.lists(st.floats(0.0, 6000.0), max_size=12), supplies)
def test_heaters_owned_are_all_placed(heaters, supply):
    """One that is too large for every circuit is alone on one; no other circuit with a heater is above its limit."""
    circuits = layout(tuple(heaters), supply)
    assert sorted(heater for circuit in circuits for heater in circuit.heaters_w) == sorted(heaters)
    for circuit in circuits:
        if circuit.heaters_w and max(circuit.heaters_w) <= continuous_limit(supply.largest):
            assert circuit.load_w <= circuit.limit_w + 1e-3


def test_finding_a2_no_unit_over_its_circuit():
    """3 x 1,500 W were bought for a 15 A 120 V circuit that may carry 1,440 W; 2,940 W and a fifth more are needed."""
    supply = CircuitSupply((US_15,), other_w=25.0)
    heaters = heaters_to_buy(2940.0 * 1.2, supply)
    assert max(heaters) <= 1440.0
    assert sum(heaters) >= 3528.0
    circuits = layout(heaters, supply)
    assert [circuit.load_w <= 1440.0 for circuit in circuits] == [True] * len(circuits)
    assert circuits[0].load_w - sum(circuits[0].heaters_w) == 25.0  # pump and lights
    assert len(circuits) == 3  # 3,528 + 25 W is more than two circuits may carry, 2,880 W


def test_breaker_by_breaker_two_on_one_a_third_on_its_own():
    """3 x 800 W: two fit 20 A at 120 V, 1,600 of 1,920 W, and the third is on its own."""
    one, other = layout((800.0,) * 3, CircuitSupply((US_20,), 0.0))
    assert sorted([one.load_w, other.load_w]) == [800.0, 1600.0]
    assert one.limit_w == other.limit_w == 1920.0


def test_circuits_given_share_the_heaters():
    """So that one breaker does not stop all the heat."""
    shares = layout((500.0, 500.0), CircuitSupply((US_15, US_20), 20.0))
    assert [circuit.heaters_w for circuit in shares] == [(500.0,), (500.0,)]


def test_a_larger_circuit_given_saves_a_further_one():
    small = CircuitSupply((US_15,), 20.0)
    large = CircuitSupply((US_15, "30 A 240 V"), 20.0)
    assert not all(circuit.given for circuit in layout(heaters_to_buy(3500.0, small), small))
    assert all(circuit.given for circuit in layout(heaters_to_buy(3500.0, large), large))


def test_equal_heaters_two_at_least():
    supply = CircuitSupply((EU_16,), 20.0)
    assert heaters_to_buy(0.0, supply) == ()
    assert heaters_to_buy(420.0, supply) == (250.0, 250.0)
    assert heaters_to_buy(1150.0, supply) == (600.0, 600.0)  # one of the new sizes
    assert len(heaters_to_buy(2300.0, supply)) == 2  # 2 x 1,200 W
    many = heaters_to_buy(60e3, supply)
    assert len(layout(many, supply)) >= len(many) / MOST_ON_CIRCUIT


def test_watts_to_buy_may_come_from_elsewhere(workshop):
    """What is bought beyond the need is in one function, the choice of units in another, which takes any figure."""
    plan = plan_of(workshop)
    assert watts_to_buy(plan, 1000.0) > 1000.0
    assert sum(installed_heaters(plan, 5000.0)) >= 5000.0
    assert installed_heaters(plan, 5000.0) == heaters_to_buy(5000.0, supply_of(plan))


@pytest.mark.parametrize(("units", "circuit"), [("us", US_15), ("metric", EU_16), ("imperial", EU_16)])
def test_without_a_circuit_a_usual_one_is_assumed(workshop, units, circuit):
    plan = plan_of(with_settings(workshop, {"power": {"price": 0.2}, "show": {"units": units}}))
    supply = supply_of(plan)
    assert (supply.circuits, supply.assumed) == ((circuit,), True)
    assert fits_given_circuits((100.0,), plan) is None
    assert not supply_of(plan_of(workshop)).assumed


def test_the_circuits_of_the_plan_are_a_limit(workshop):
    plan = plan_of(with_settings(workshop, {"power.circuit": [US_15, US_20]}))
    free = 1440.0 - plan.electric_w
    assert fits_given_circuits((free, 1920.0), plan)
    assert not fits_given_circuits((free + 1.0, 1920.0), plan)
    assert not fits_given_circuits((2000.0,), plan)
    assert sum(largest_set(supply_of(plan))) <= free + 1920.0
    assert largest_set(CircuitSupply((US_15,), 1435.0)) == ()

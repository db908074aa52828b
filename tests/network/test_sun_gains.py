"""Sun and sky of a plan as gains of its network, against sums over its sides by hand."""

from __future__ import annotations

import pytest

from thermal.climate.forcing import CLEAR_SKY, SKY, SunAndSky, sun_column, warmed_column
from thermal.network.build import build_network, plan_envelope, plan_gains
from thermal.plan.reader import plan_of, with_settings

PRESSURE = 101325.0
FILM = 25.0  # the standard's, so that no transmittance changes
BOTH = SunAndSky("measured", "infrared", FILM)
SIDES = [
    {"name": "south wall", "area": "10 m2", "build": "RSI-2.0", "facing": "south", "colour": "dark"},
    {"name": "north wall", "area": "20 m2", "build": "RSI-1.0", "facing": "north", "colour": "light"},
    {"name": "roof", "area": "30 m2", "build": "RSI-3.0", "facing": "roof"},
    {"name": "window", "area": "2 m2", "build": "double glazing", "facing": "south"},
    {"name": "house", "area": "15 m2", "build": "RSI-1.0", "faces": "house"},
]
R_FILMS = 0.17


@pytest.fixture
def bare(workshop):
    """A room of five sides without bridges, vessels on frames, nothing that gives heat."""
    quiet = {
        "room.bridges": "none", "room.air_changes": 0.0, "pump.power": "0 W", "room.lights.power": "0 W",
        "bed.transpiration": "none", "room.side": SIDES,
    }  # fmt: skip
    workshop["room"]["side"] = SIDES
    return plan_of(with_settings({**workshop, "measure": []}, {key: quiet[key] for key in quiet if key != "room.side"}))


def of_steady_loss(plan, gains: dict, column: int) -> float:
    """What a gain at the fabric is worth at the air: heat times the share that flows inwards. [W at fixed air]"""
    envelope = plan_envelope(plan, PRESSURE)
    return gains["fabric", column] * envelope.air_fabric / (envelope.air_fabric + envelope.fabric_beyond)


def test_a_walls_sun_is_worth_its_transmittance_times_the_sol_air_excess(bare):
    """U A a I/h_e comes in at air of constant temperature: ASHRAE's sol-air temperature, side by side."""
    gains = plan_gains(bare, plan_envelope(bare, PRESSURE), BOTH)
    south, north = 10.0 / (2.0 + R_FILMS) * 0.9, 20.0 / (1.0 + R_FILMS) * 0.3
    assert of_steady_loss(bare, gains, warmed_column("south")) == pytest.approx(south, rel=1e-9)
    assert of_steady_loss(bare, gains, warmed_column("north")) == pytest.approx(north, rel=1e-9)
    roof = 30.0 / (3.0 + R_FILMS) * 0.6
    assert of_steady_loss(bare, gains, warmed_column("roof")) == pytest.approx(roof, rel=1e-9)


def test_the_sky_takes_half_from_a_wall_and_all_from_a_roof(bare):
    """ISO 13790: form factor 0.5 of an unshaded wall, 1 of a roof; 0.9 is the emissivity; none behind the house."""
    gains = plan_gains(bare, plan_envelope(bare, PRESSURE), BOTH)
    walls = 10.0 / (2.0 + R_FILMS) + 20.0 / (1.0 + R_FILMS) + 2.0 * 2.8
    expected = -0.9 * (0.5 * walls + 30.0 / (3.0 + R_FILMS))
    assert of_steady_loss(bare, gains, SKY) == pytest.approx(expected, rel=1e-6)
    assert ("fabric", CLEAR_SKY) not in gains


def test_a_windows_sun_goes_to_floor_air_and_surfaces(bare):
    """0.9 g A for each W/m2 on it, of which 4 % goes out again; nothing is counted on its outside."""
    gains = plan_gains(bare, plan_envelope(bare, PRESSURE), BOTH)
    inside = sum(gains.get((node, sun_column("south")), 0.0) for node in ("slab", "air", "fabric"))
    assert inside == pytest.approx(0.96 * 0.9 * 0.6 * 2.0, rel=1e-9)
    assert gains["slab", sun_column("south")] > gains["fabric", sun_column("south")]


def test_a_calmer_film_makes_more_of_the_sun_and_a_bare_side_less_than_its_share(bare):
    """At 12.5 W/m2K a side of U keeps 1/(1/U - 0.04 + 0.08) of it."""
    calm = plan_gains(bare, plan_envelope(bare, PRESSURE), SunAndSky("measured", "", 12.5))
    usual = plan_gains(bare, plan_envelope(bare, PRESSURE), BOTH)
    ratio = calm["fabric", warmed_column("north")] / usual["fabric", warmed_column("north")]
    assert ratio == pytest.approx((1.0 + R_FILMS) / (1.0 + R_FILMS + 0.04), rel=1e-9)


def test_an_assumed_sky_follows_its_uncertain_input_but_for_the_clear_days(bare, workshop):
    gains = plan_gains(bare, plan_envelope(bare, PRESSURE), SunAndSky("", "assumed", FILM))
    assert set(gains) == {("fabric", SKY), ("fabric", CLEAR_SKY)}
    assert gains["fabric", SKY] == gains["fabric", CLEAR_SKY]
    cold = plan_of({**workshop, "measure": []}, sampler=lambda name, spread: 20.0 if "sky" in name else spread[1])
    steady = plan_gains(cold, plan_envelope(cold, PRESSURE), SunAndSky("", "assumed", FILM))
    assert steady["fabric", SKY] == pytest.approx(20.0 / 11.0 * steady["fabric", CLEAR_SKY])


def test_given_air_has_no_sun_and_no_sky(workshop):
    plan = plan_of(with_settings({**workshop, "measure": []}, {"room.temperature": "16 degC"}))
    assert build_network(plan, PRESSURE, 10.0, 0.0, BOTH).gains == ()

"""Heat loss of pipes: a textbook's pipe, and what holds of any."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import pipe_loss
from thermal.physics.natural_convection import rayleigh_per_kelvin


def test_the_hot_water_pipe_of_the_textbook():
    """Cengel, Heat and Mass Transfer, Ex. 9-1 (from memory): 6 m of 8 cm at 70 degC in a room at 20 degC.

    Ra 1.869e6, Nu 17.40, h 5.869 W/m2K, 443 W by convection; k 0.02699 W/mK, Pr 0.7241, nu 1.750e-5 m2/s.
    """
    ra = 9.81 / 318.0 * 50.0 * 0.08**3 / 1.750e-5**2 * 0.7241
    assert ra == pytest.approx(1.869e6, rel=2e-3)
    nu = float(pipe_loss.cylinder_nusselt(ra, 0.7241))
    assert nu == pytest.approx(17.40, rel=2e-3)
    h = nu * 0.02699 / 0.08
    assert h == pytest.approx(5.869, rel=2e-3)
    assert h * math.pi * 0.08 * 6.0 * 50.0 == pytest.approx(443.0, rel=2e-3)


def test_the_film_solves_its_own_balance():
    """All heat that reaches the surface leaves it: the excess on both sides of the film is the same."""
    d, r = 0.066, 2.0
    ra = float(rayleigh_per_kelvin(d, pipe_loss.FILM_C))
    u = float(pipe_loss.pipe_transmittance(d, r, ra))
    surface_k = pipe_loss.DIFFERENCE_K * (1.0 - u * r)
    film = float(pipe_loss.cylinder_film_coefficient(d, surface_k, ra)) * math.pi * d
    assert film * surface_k == pytest.approx(u * pipe_loss.DIFFERENCE_K, rel=1e-6)


def test_the_stated_error_of_one_film_for_all_differences():
    """The module says 8 % less at 5 K and 10 % more at 20 K than at 10 K."""
    films = [
        float(pipe_loss.cylinder_film_coefficient(0.04, k, float(rayleigh_per_kelvin(0.04, 10.0)))) for k in (5, 10, 20)
    ]
    assert films[0] / films[1] == pytest.approx(0.92, abs=0.01)
    assert films[2] / films[1] == pytest.approx(1.10, abs=0.01)


@given(st.floats(0.01, 0.1), st.floats(0.002, 0.1), st.floats(0.02, 0.1))
def test_insulation_that_conducts_less_than_the_film_saves_heat(inner, thickness, k):
    """Critical radius k/h, h above 7 W/m2K: every pipe with r >= k/7 loses less when covered."""
    if inner / 2.0 < k / 7.0:
        return
    outer = inner + 2.0 * thickness
    bare = pipe_loss.pipe_transmittance(inner, 0.0, rayleigh_per_kelvin(inner, 10.0))
    r = pipe_loss.cylindrical_resistance(inner, thickness, k)
    assert pipe_loss.pipe_transmittance(outer, r, rayleigh_per_kelvin(outer, 10.0)) < bare


@given(st.floats(0.1, 1e3), st.floats(0.0, 1e5))
def test_a_pipe_loses_no_more_than_its_flow_carries(ua, flow):
    lost = float(pipe_loss.carried_conductance(ua, flow))
    assert 0.0 <= lost <= min(ua, max(flow, 1e-9)) * (1.0 + 1e-12)

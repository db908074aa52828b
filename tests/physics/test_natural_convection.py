"""Natural convection against textbooks and `ht`; then what any such law must do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import natural_convection

heights = st.floats(0.1, 3.0)
films = st.floats(-20.0, 40.0)


@pytest.mark.parametrize(
    ("ra", "pr", "printed", "why"),
    [
        (7.649e8, 0.7202, 113.34, "Cengel, Heat and Mass Transfer, Ex. 9-2"),
        (1.813e9, 0.69, 147.0, "Incropera & DeWitt, Ex. 9.2 (from memory)"),
    ],
)
def test_nusselt_number_is_that_of_textbooks(ra, pr, printed, why):
    assert float(natural_convection.vertical_plate_nusselt(ra, pr)) == pytest.approx(printed, rel=3e-3), why


@pytest.mark.parametrize(
    ("surface", "air", "height", "ra", "film"),
    [
        (15.0, 5.0, 0.6, 2.630e8, 3.419),
        (20.0, 10.0, 0.6, 2.425e8, 3.385),
        (10.0, 5.0, 0.3, 1.713e7, 3.025),
        (12.0, 5.0, 0.9, 6.369e8, 2.971),
    ],
)
def test_walls_of_tanks_are_those_of_ht(surface, air, height, ra, film):
    """ht 1.2.0 with CoolProp's air at film temperature; our viscosity is within 0.5 %, the film within 1 %."""
    mean, difference = 0.5 * (surface + air), surface - air
    assert difference * float(natural_convection.rayleigh_per_kelvin(height, mean)) == pytest.approx(ra, rel=0.01)
    terms = natural_convection.vertical_film_terms(height, mean)
    assert float(natural_convection.vertical_film_coefficient(*terms, difference)) == pytest.approx(film, rel=0.01)


def test_one_film_temperature_serves_all_winter():
    """What the module says: from 0 to 20 degC the coefficient stays within 2 % of that at 10 degC."""
    terms = {t: natural_convection.vertical_film_terms(0.6, t) for t in (0.0, 10.0, 20.0)}
    films = {t: float(natural_convection.vertical_film_coefficient(*pair, 8.0)) for t, pair in terms.items()}
    assert films[0.0] == pytest.approx(films[10.0], rel=0.02)
    assert films[20.0] == pytest.approx(films[10.0], rel=0.02)


@given(heights, films, st.floats(0.01, 40.0))
def test_the_terms_are_the_law_itself(height, film_c, difference):
    """(a + b dT^(1/6))^2 is Nu k/L."""
    from thermal.physics.moist_air import air_conductivity

    ra = difference * natural_convection.rayleigh_per_kelvin(height, film_c)
    direct = natural_convection.vertical_plate_nusselt(ra) * air_conductivity(film_c) / height
    terms = natural_convection.vertical_film_terms(height, film_c)
    film = natural_convection.vertical_film_coefficient(*terms, difference)
    assert float(film) == pytest.approx(float(direct), rel=1e-12)
    assert float(natural_convection.vertical_film_coefficient(*terms, -difference)) == float(film)
    assert natural_convection.vertical_film_coefficient(*terms, 1.1 * difference) > film


def test_a_wall_as_warm_as_the_air_keeps_the_limit_of_conduction():
    """Nu = 0.825^2 = 0.68 at Ra 0, Churchill & Chu 1975."""
    assert float(natural_convection.vertical_plate_nusselt(0.0)) == pytest.approx(0.68, abs=0.001)


@given(st.floats(1e9, 1e11), st.floats(1.5, 100.0))
def test_a_turbulent_film_grows_with_a_third_of_the_rayleigh_number(ra, factor):
    """Nu ~ Ra^(1/3): the exponent over a decade lies between 0.29 and 1/3."""
    ratio = natural_convection.vertical_plate_nusselt(factor * ra) / natural_convection.vertical_plate_nusselt(ra)
    assert 0.29 < float(np.log(ratio) / np.log(factor)) < 1.0 / 3.0

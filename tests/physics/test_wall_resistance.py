"""Resistances of walls against published walls; then what any such law must do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thermal.physics import wall_resistance as walls

quick = settings(max_examples=50, deadline=None)
resistances = st.floats(0.05, 8.0)
shares = st.floats(0.01, 0.5)


def test_a_wall_with_studs_is_that_of_the_scottish_annex():
    """Building (Scotland) Act 2003, annex 6.B.2: R 3.474 m2K/W (limits computed), U 0.288; 140 mm wool, 9.5 % studs."""
    whole = walls.combined_resistance(0.638, (3.333, 1.077), (0.905, 0.095))
    assert whole == pytest.approx(3.4739, abs=5e-4)
    assert float(walls.side_transmittance(whole - 0.17)) == pytest.approx(0.288, abs=5e-4)
    assert float(walls.layer_resistance(0.140, 0.042)) == pytest.approx(3.333, abs=5e-4)


@pytest.mark.parametrize(
    ("paths", "parts", "printed", "source"),
    [
        ((16.43, 7.81), (0.75, 0.25), 0.078, "ASHRAE Fundamentals 2001 ch. 25 wood-frame example (from memory)"),
        ((13.05, 6.425, 6.425), (0.75, 0.21, 0.04), 0.096, "ASHRAE 90.1 table A3.4, R-11 at 16 in. (from memory)"),
        ((20.05, 8.925, 6.425), (0.75, 0.21, 0.04), 0.067, "ASHRAE 90.1 table A3.4, R-19 at 16 in. (from memory)"),
    ],
)
def test_parallel_paths_are_those_of_ashrae(paths, parts, printed, source):
    """U in Btu/h ft2 F, three decimals."""
    assert 1.0 / walls.parallel_path_resistance(paths, parts) == pytest.approx(printed, abs=6e-4), source


@quick
@given(resistances, resistances, shares)
def test_a_bridged_wall_lies_between_its_limits(fixed, bridge, part):
    cavity = bridge + 2.0
    whole = walls.combined_resistance(fixed, (cavity, bridge), (1.0 - part, part))
    upper = walls.parallel_path_resistance((fixed + cavity, fixed + bridge), (1.0 - part, part))
    lower = fixed + walls.parallel_path_resistance((cavity, bridge), (1.0 - part, part))
    assert fixed + bridge < lower <= whole <= upper < fixed + cavity


@quick
@given(resistances, st.sampled_from(["outdoors", "house", "attic", "ground"]))
def test_more_insulation_passes_less(resistance, faces):
    assert walls.side_transmittance(resistance + 0.1, faces) < walls.side_transmittance(resistance, faces)
    assert walls.hut_transmittance(resistance + 0.1) < walls.hut_transmittance(resistance)
    assert walls.film_conductance(3.0, resistance + 0.1) < walls.film_conductance(3.0, resistance)


@quick
@given(resistances)
def test_a_u_value_outdoors_and_its_resistance_are_inverse(resistance):
    assert float(walls.resistance_without_films(walls.side_transmittance(resistance))) == pytest.approx(
        resistance, rel=1e-9
    )
    assert float(walls.resistance_without_films(50.0)) == 0.0


@quick
@given(resistances)
def test_a_frame_lets_the_air_film_count_and_a_slab_its_middle(resistance):
    """ISO 6946:2017 table 7: 0.17 m2K/W for heat flow down."""
    assert float(walls.vessel_base_resistance(resistance, "frame")) == pytest.approx(resistance + 0.17)
    on_slab = walls.vessel_base_resistance(resistance, "slab")
    assert float(on_slab) == pytest.approx(resistance + 0.05)
    assert float(walls.vessel_base_resistance(resistance, "slab", air_known=True) - on_slab) == pytest.approx(0.17)


@quick
@given(st.floats(0.0, 5.0), st.floats(0.0, 60.0))
def test_a_slab_hides_at_most_its_finish_and_never_all_its_floor(floor_r, covered):
    assert 0.17 <= float(walls.slab_resistance(floor_r)) <= 0.17 + 0.05 + 1e-12
    bare = float(walls.bare_floor_area(40.0, covered))
    assert bare == pytest.approx(max(40.0 - covered, 4.0))


def test_bare_metal_is_its_two_films():
    """ISO 6946:2017 table 7: 0.13 and 0.04 m2K/W, 5.88 W/m2K; a hut's skin has 0.13 twice, 3.85."""
    assert float(walls.side_transmittance(0.0)) == pytest.approx(5.88, abs=0.005)
    assert float(walls.hut_transmittance(0.0)) == pytest.approx(3.85, abs=0.005)


def test_an_unknown_place_is_refused():
    with pytest.raises(KeyError):
        walls.side_transmittance(1.0, "sea")
    with pytest.raises(KeyError):
        walls.film_conductance(1.0, 1.0, "sideways")


def test_many_layers_at_once():
    np.testing.assert_allclose(walls.layer_resistance(np.array([0.05, 0.1]), 0.025), [2.0, 4.0])

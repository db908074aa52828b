"""Heat capacities of water and media; then limits."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from thermal.physics import bed_heat_capacity as beds


@pytest.mark.parametrize(
    ("solids", "share", "printed"),
    [
        (0.6 * 2650.0 * 800.0, 0.06, 1.52),  # granite gravel, drained
        (0.6 * 2650.0 * 800.0, 0.40, 2.95),  # the same, flooded
        (330.0 * 1000.0, 0.12, 0.83),  # expanded clay, drained; bulk density within Wikipedia's 250-510 kg/m3
        (800.0 * 850.0, 0.15, 1.31),  # lava, drained
    ],
)
def test_media_hold_what_was_worked_out_apart(solids, share, printed):
    """Refs media_beds.json: solids + water share x 4.19e6 [MJ/m3K] (inputs from memory, computed apart)."""
    assert float(beds.bed_capacity(1.0, solids, share)) / 1e6 == pytest.approx(printed, abs=0.007)


@pytest.mark.parametrize("celsius", [5.0, 12.0, 25.0])
def test_water_is_that_of_iapws95(celsius):
    """CoolProp: rho cp moves by 0.5 % from 5 to 25 degC; one figure serves."""
    kelvin = 273.15 + celsius
    theirs = PropsSI("D", "T", kelvin, "P", 101325.0, "Water") * PropsSI("C", "T", kelvin, "P", 101325.0, "Water")
    assert float(beds.water_capacity(1.0)) == pytest.approx(theirs, rel=5e-3)


@given(st.floats(0.01, 5.0), st.floats(1e5, 3e6), st.floats(0.0, 1.0))
def test_wet_media_lie_between_dry_media_and_media_with_water_on_top(volume, solids, share):
    capacity = float(beds.bed_capacity(volume, solids, share))
    assert capacity == pytest.approx(volume * solids + share * float(beds.water_capacity(volume)), rel=1e-12)


@given(st.floats(0.2, 0.6), st.floats(0.0, 1.0))
def test_a_bed_in_flood_and_drain_holds_the_mean(porosity, part):
    drained = part * porosity
    assert drained <= float(beds.running_water_share(porosity, drained)) + 1e-15
    assert float(beds.running_water_share(porosity, porosity)) == pytest.approx(porosity)

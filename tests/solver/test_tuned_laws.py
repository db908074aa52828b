"""Every law that the solver evaluates in its own way against the plain law of `thermal.physics`."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.physics import evaporation, moist_air, radiation
from thermal.solver import tuned_laws

ANY = np.random.default_rng(7)
SIZE = 500
CELSIUS = ANY.uniform(-30.0, 45.0, SIZE)
WATER_C = ANY.uniform(0.1, 45.0, SIZE)
ROOM_RATIO = ANY.uniform(0.0005, 0.02, SIZE)
PRESSURE_PA = 98_000.0
WATER_RATIO = moist_air.humidity_ratio(moist_air.water_saturation_pressure(WATER_C), PRESSURE_PA)
RHO_WATER = moist_air.dry_air_density(WATER_C, WATER_RATIO, PRESSURE_PA)
RHO_ROOM = moist_air.dry_air_density(CELSIUS, ROOM_RATIO, PRESSURE_PA)
SINGLE = 1e-5  # relative: some hundred roundings of single precision

LAWS = {
    "saturation pressure": (tuned_laws.saturation_pressure, moist_air.saturation_pressure, (CELSIUS,)),
    "saturation pressure over water": (
        tuned_laws.water_saturation_pressure,
        moist_air.water_saturation_pressure,
        (CELSIUS,),
    ),
    "humidity ratio": (
        tuned_laws.humidity_ratio,
        moist_air.humidity_ratio,
        (ANY.uniform(20.0, 9e3, SIZE), PRESSURE_PA),
    ),
    "dry-air density": (tuned_laws.dry_air_density, moist_air.dry_air_density, (CELSIUS, ROOM_RATIO, PRESSURE_PA)),
    "convective coefficient": (
        tuned_laws.convective_coefficient,
        evaporation.convective_coefficient,
        (ANY.uniform(1e-4, 1e-2, SIZE),),
    ),
    "enthalpy of replaced vapour": (
        tuned_laws.replaced_vapour_enthalpy,
        evaporation.replaced_vapour_enthalpy,
        (WATER_C, CELSIUS),
    ),
    "radiative coefficient": (
        tuned_laws.radiative_coefficient,
        radiation.radiative_coefficient,
        (CELSIUS, 0.95),
    ),
    "mass transfer": (
        tuned_laws.mass_transfer_coefficient,
        evaporation.mass_transfer_coefficient,
        (RHO_WATER, RHO_ROOM, WATER_RATIO, ROOM_RATIO, PRESSURE_PA),
    ),
}


def in_precision(arguments, precision):
    return [np.asarray(argument, precision) for argument in arguments]


@pytest.mark.parametrize("name", LAWS)
def test_in_double_precision_it_is_the_plain_law(name):
    """But for its constants and roots, which stay single."""
    tuned, plain, arguments = LAWS[name]
    np.testing.assert_allclose(tuned(*in_precision(arguments, float)), plain(*arguments), rtol=5e-6)


@pytest.mark.parametrize("name", [name for name in LAWS if name != "mass transfer"])
def test_in_single_precision_it_is_the_plain_law(name):
    tuned, plain, arguments = LAWS[name]
    result = tuned(*in_precision(arguments, np.float32))
    assert result.dtype == np.float32
    np.testing.assert_allclose(result, plain(*arguments), rtol=SINGLE)


def test_mass_transfer_in_single_precision():
    """Densities are some 1.2 kg/m3, so single precision leaves 1e-7 kg/m3 of their difference unsure."""
    tuned, plain, arguments = LAWS["mass transfer"]
    result, exact = tuned(*in_precision(arguments, np.float32)), plain(*arguments)
    unsure = 2e-7 / (3.0 * np.maximum(np.abs(RHO_ROOM - RHO_WATER), 1e-4))  # a third of it, by the cube root
    assert (np.abs(result / exact - 1.0) < SINGLE + unsure).all()


def test_roots_in_single_precision_are_good_to_six_digits():
    x = np.logspace(-8, 3, 200)
    np.testing.assert_allclose(tuned_laws.root(x, tuned_laws.THIRD), np.cbrt(x), rtol=2e-6)
    np.testing.assert_allclose(tuned_laws.root(x, tuned_laws.SIXTH), x ** (1 / 6), rtol=2e-6)

"""Constants against reference libraries."""

from __future__ import annotations

import iapws
import pytest
import scipy.constants as codata
from CoolProp.CoolProp import PropsSI

from thermal.physics import constants

SEA_LEVEL = 101325.0


def test_universal_constants_are_those_of_codata():
    """scipy.constants: CODATA 2018 or later, same digits."""
    assert pytest.approx(codata.Stefan_Boltzmann, rel=1e-9) == constants.STEFAN_BOLTZMANN
    assert codata.zero_Celsius == constants.ZERO_C_K
    assert codata.g == constants.GRAVITY
    assert codata.atm == constants.SEA_LEVEL_PA


def test_gas_constants_follow_from_molar_masses():
    """Water 18.015268 kg/kmol (IAPWS-95), dry air 28.966 (ASHRAE Fundamentals 2017 ch. 1)."""
    assert pytest.approx(18.015268 / 28.966, rel=2e-6) == constants.VAPOUR_RATIO
    assert pytest.approx(1000.0 * codata.R / 28.966, rel=2e-5) == constants.GAS_CONSTANT_DRY_AIR


def test_water_and_air_are_those_of_coolprop():
    """CoolProp (IAPWS-95 for water) at 12 and 10 degC."""
    assert pytest.approx(PropsSI("D", "T", 285.15, "P", SEA_LEVEL, "Water"), rel=1e-5) == constants.RHO_WATER
    assert pytest.approx(PropsSI("C", "T", 285.15, "P", SEA_LEVEL, "Water"), rel=1e-3) == constants.CP_WATER
    assert pytest.approx(PropsSI("C", "T", 283.15, "P", SEA_LEVEL, "Air"), rel=2e-4) == constants.CP_AIR
    assert pytest.approx(PropsSI("PRANDTL", "T", 283.15, "P", SEA_LEVEL, "Air"), rel=2e-3) == constants.PRANDTL_AIR


def test_heat_of_condensation_is_that_of_iapws95_where_walls_run_wet():
    """0 to 10 degC: 2,501 to 2,477 kJ/kg; one figure for all of it, 1 %."""
    for celsius in (0.01, 5.0, 10.0):
        steam, liquid = (PropsSI("H", "T", 273.15 + celsius, "Q", quality, "Water") for quality in (1, 0))
        assert pytest.approx(steam - liquid, rel=0.01) == constants.CONDENSATION_J_PER_KG


def test_heat_of_fusion_is_that_of_iapws06():
    """iapws: ice of IAPWS-06 and water of IF97 at 0 degC; the handbook's figure differs by 0.04 %."""
    ice = iapws._iapws._Ice(273.15, 0.101325)["h"]
    water = iapws.IAPWS97(T=273.16, x=0).h
    assert pytest.approx(1000.0 * (water - ice), rel=1e-3) == constants.FUSION_J_PER_KG

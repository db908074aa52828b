"""Physical constants and properties that several laws share, each with its unit and source."""

from __future__ import annotations

ZERO_C_K = 273.15  # K
GRAVITY = 9.80665  # m/s2, standard gravity
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2K4, CODATA 2018
SEA_LEVEL_PA = 101325.0  # Pa, standard atmosphere

VAPOUR_RATIO = 0.621945  # molar mass of water over that of dry air; ASHRAE Fundamentals 2017 ch. 1
GAS_CONSTANT_DRY_AIR = 287.042  # J/kgK; ASHRAE Fundamentals 2017 ch. 1
CP_AIR = 1006.0  # J/kgK, dry air near 10 degC (CoolProp: 1005.9)
PRANDTL_AIR = 0.71  # dry air, 0-25 degC (CoolProp: 0.707-0.711)
LEWIS_TWO_THIRDS = 0.908  # Le^(2/3) of vapour in air, Le = 0.866 (Cengel, Heat and Mass Transfer, table 14-4 range)

CP_WATER = 4190.0  # J/kgK, liquid near 12 degC (IAPWS-95: 4192)
RHO_WATER = 999.5  # kg/m3 near 12 degC (IAPWS-95)
LATENT_HEAT_0C = 2.5009e6  # J/kg, heat of evaporation at 0 degC, of the linear fit in `moist_air.latent_heat`
CP_VAPOUR_SLOPE = 2370.0  # J/kgK, how fast the heat of evaporation falls with temperature, same fit
CONDENSATION_J_PER_KG = 2.5e6  # J/kg, heat of evaporation near 0 degC, where walls run wet
FUSION_J_PER_KG = 333_550.0  # J/kg, melting of ice at 0 degC; CRC Handbook

EMISSIVITY_WATER = 0.95  # Cengel, Heat and Mass Transfer, table A-18
EMISSIVITY_WALL = 0.90  # plastics, paint, wood: from memory
INSIDE_CONVECTION = 2.5  # W/m2K, convective part of an inside film, heat flow horizontal, ISO 6946:2017 annex C

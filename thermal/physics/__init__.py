"""The laws of the model, one a module: pure functions of numbers and arrays in SI, temperatures in degC.

=======================================  ==================  ========================================================
law                                      module              source
=======================================  ==================  ========================================================
air pressure, humidity, density          moist_air           ASHRAE Fundamentals 2017 ch. 1
saturation pressure                      moist_air           Bolton 1980; WMO-No. 8 (2018) annex 4.B
latent heat, conductivity of air         moist_air           fits to IAPWS-95 and to CoolProp 8.0.0
viscosity of air                         moist_air           White, Viscous Fluid Flow, 3rd ed., table 1-2
evaporation                              evaporation         Shah 2014, ASHRAE Trans. 120(2) SE-14-001
convection over water                    evaporation         Chilton-Colburn analogy, Cengel eq. 14-89
convection at a wall                     natural_convection  Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323
pipe: film, insulation, flow             pipe_loss           Churchill & Chu 1975, ibid. 18:1049; ISO 12241 (memory)
flow of a pump that pauses               pump_duty           energy balance
nitrification in cool water              nitrification       Rusten et al. 2006, Aquacultural Engineering 34:322
standing water in a pipe in frost        pipe_freezing       ISO 12241:2008 (from memory); Cengel eq. 4-4
vapour and cold of plants                transpiration       mass and energy balance
longwave radiation                       radiation           Stefan-Boltzmann, linear: ISO 6946:2017 annex C
longwave between inner surfaces          inner_radiation     Carroll 1980 (from memory)
layers, films, U-values                  wall_resistance     ISO 6946:2017 eq. 3, table 7
studs                                    wall_resistance     ISO 6946:2017 section 6.7.2; ASHRAE parallel paths
attic factor                             attic               ISO 13789 (from memory); six measured attics
sun and sky on an outer surface          sol_air             ASHRAE Fundamentals 2017 ch. 18; ISO 13790 (memory)
outside film by wind                     outside_film        ISO 6946:2017 annex C
sky: emissivity, temperature, loss       sky_temperature     Berdahl & Martin 1984, Martin & Berdahl 1984
cloud and sun                            cloud_cover         Kasten & Czeplak 1980; FAO 56 (1998) eq. 35, 36
sun collector                            solar_collector     EN ISO 9806 (from memory)
sun through glass and plastic            glazing             ISO 13790:2008 section 11.4 (from memory)
slab, bottoms of vessels, hut's skin     wall_resistance     ISO 6946:2017 table 7; our judgement for the slab
fabric split                             fabric_split        ISO 13790:2008 section 12.2.2
slab on ground: loss, edge, swing, lag   ground              ISO 13370:2017 (from memory)
soil layer, virtual ground, yearly wave  ground              ISO 52016-1:2017 section 6.5.8.2 (from memory)
tank sunk in the ground                  buried_vessel       fitted to our numerical solution; ISO 13370 (memory)
floor by its perimeter                   perimeter_loss      ASHRAE 90.1-2010 table A6.3 (from memory)
infiltration                             infiltration        Sherman & Grimsrud 1980; ASHRAE Fundamentals 2005 ch. 27
door openings                            infiltration        our judgement, no source
heat of air change, flows in series      infiltration        energy and mass balance
air blown in for some hours              intermittent_air    energy balance
water surface, lids, vessel walls        water_surface       thermal resistances in series
vessel wall to a house or outdoors       facing_wall         ISO 6946:2017 table 7
air under a cover over a bed             night_cover         heat balance; films of ISO 6946:2017
vapour balance of the room               humidity_balance    mass balance, implicit Euler
dehumidifier                             dehumidifier        NREL/TP-5500-52791 (Winkler et al. 2011)
fan by humidity                          humidity_fan        steady mass balance
coldest surface, condensation, mould     condensation        ISO 13788:2012
vapour to a cold side                    condensation        ISO 6946:2017 annex C with Chilton-Colburn
freezing                                 freezing            enthalpy method, Voller & Cross 1981
heat pump                                heat_pump           curve of thermal/data/heat_pump.toml
lumped cooling                           lumped_cooling      Cengel eq. 4-4
flood and drain                          flood_drain         energy balance
heat capacity of water and beds          bed_heat_capacity   IAPWS-95; volume-weighted mean
constants and shared properties          constants           CODATA 2018, ASHRAE, IAPWS-95, CRC Handbook: beside each
=======================================  ==================  ========================================================

Each function states its equation, range and source, and shows one figure; `thermal.solver.tuned_laws` holds
freezing again, in place.
"""

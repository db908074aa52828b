"""What holds of every law: the list in the package, short chains, pure arithmetic, arrays as well as floats."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
from pathlib import Path

import numpy as np
import pytest

from tests.physics.test_doctests import LAWS as ALL_LAWS
from tests.physics.test_doctests import MODULES
from thermal import physics
from thermal.physics.ground import EdgeInsulation, Soil

NAMES = sorted(name.rpartition(".")[2] for name in MODULES)
LAWS = {f"{law.__module__.rpartition('.')[2]}.{law.__name__}": law for law in ALL_LAWS}
BETWEEN_RULES = (physics.__doc__ or "").split("\n====")[2]
TABLE = [re.split(r"\s{2,}", line) for line in BETWEEN_RULES.splitlines()[1:] if line]  # law, module, source

# Ranges to draw arguments from, by the name of the parameter; all within every law's validity.
RANGES = {
    "temperature_c": (-20.0, 40.0), "water_c": (-2.0, 35.0), "air_c": (-20.0, -5.0), "mean_c": (-10.0, 40.0),
    "film_c": (-10.0, 40.0), "tap_c": (5.0, 20.0), "inside_c": (0.0, 25.0), "beyond_c": (-25.0, 5.0),
    "surface_c": (-5.0, 15.0), "outdoor_c": (-25.0, 15.0), "bed_c": (0.0, 20.0), "tank_c": (0.0, 20.0),
    "first_c": (0.0, 20.0), "second_c": (0.0, 20.0), "before_c": (15.0, 30.0), "after_c": (5.0, 14.0),
    "pressure_pa": (8e4, 1.05e5), "vapour_pa": (200.0, 3000.0), "elevation_m": (0.0, 2500.0),
    "ratio": (1e-3, 0.02), "w_water": (5e-3, 0.02), "w_room": (1e-3, 0.01), "outside_ratio": (1e-3, 6e-3),
    "dry_ratio": (5e-3, 0.01), "wet_ratio": (5e-3, 0.01), "new_ratio": (3e-3, 5e-3), "side_ratio": (3e-3, 8e-3),
    "ceiling": (4e-3, 0.02), "share": (0.1, 0.9), "gain": (1e-4, 5e-3), "rho_water": (1.1, 1.3),
    "rho_room": (1.1, 1.3), "mass_transfer": (5e-4, 5e-3), "convective": (0.5, 8.0), "radiative": (3.0, 6.0),
    "bed_r": (0.0, 0.7), "cover_r": (0.0, 1.0), "layer_r": (0.0, 2.0), "hut_kg_s": (1e-3, 0.1),
    "room_kg_s": (1e-3, 0.1),
    "lid_r": (0.0, 2.0), "wall_r": (0.0, 3.0), "film": (4.0, 10.0), "area_m2": (20.0, 60.0), "ra": (1e4, 1e11),
    "pr": (0.69, 0.74), "height_m": (0.2, 2.0), "a": (0.1, 0.3), "b": (0.8, 1.3), "difference_k": (-20.0, 20.0),
    "emissivity": (0.1, 1.0), "thickness_m": (0.0, 0.3), "conductivity_w_per_mk": (0.02, 2.0),
    "transmittance": (0.2, 4.0), "resistance": (0.1, 5.0), "film_r": (0.1, 0.25), "drop_share": (0.0, 0.6),
    "floor_r": (0.0, 4.0), "wall_m": (0.1, 0.4), "perimeter_m": (15.0, 30.0), "steady_w_per_k": (5.0, 40.0),
    "covered_m2": (0.0, 60.0), "ground_w_per_k": (5.0, 60.0), "swing_share": (0.2, 1.0), "lag_months": (0.5, 3.0),
    "amplitude_k": (2.0, 15.0), "air_changes_per_h": (0.1, 5.0), "volume_m3": (20.0, 150.0),
    "mean_air_changes_per_h": (0.1, 5.0), "edge_r": (0.0, 2.5), "factor_w_per_mk": (0.5, 1.3),
    "openings_per_day": (0.0, 20.0), "leakage_area_cm2": (50.0, 800.0), "temperature_difference_k": (-30.0, 30.0),
    "wind_m_s": (0.0, 12.0), "dry_air_kg_s": (1e-3, 0.1), "first": (0.0, 5.0), "second": (0.1, 5.0),
    "held_kg_s": (5e-3, 0.05), "change_kg_s": (1e-3, 0.05), "evaporation_kg_s": (1e-3, 0.02),
    "evaporated_kg_s": (1e-5, 1e-4), "demand_kg_s": (0.05, 0.1), "condensing_kg_s": (1e-3, 0.05),
    "ua_w_per_k": (10.0, 90.0), "air_fabric_w_per_k": (200.0, 900.0), "fabric_beyond_w_per_k": (10.0, 90.0),
    "side_ua_w_per_k": (1.0, 20.0), "total_ua_w_per_k": (20.0, 90.0), "water_kg": (10.0, 2000.0),
    "ice_j": (0.0, 1e6), "capacity_j_per_k": (1e5, 4e6), "limit_j": (2e6, 2e7), "drained_j_per_k": (1e4, 1e6),
    "moved_j_per_k": (-9e5, 9e5), "bed_j_per_k": (1e6, 3e6), "tank_j_per_k": (1e6, 5e6),
    "first_j_per_k": (1e5, 1e6), "second_j_per_k": (1e5, 1e6), "watts": (10.0, 500.0), "hours": (1.0, 50.0),
    "time_constant_h": (5.0, 200.0), "solids_j_per_m3k": (3e5, 1.5e6), "water_share": (0.05, 0.5),
    "inner_m": (0.02, 0.1), "outer_m": (0.02, 0.2), "excess_k": (-20.0, 20.0), "ra_per_k": (1e3, 1e6),
    "depth_m": (0.2, 1.6), "breadth_m": (0.2, 2.5), "soil_w_per_mk": (1.0, 3.5),
    "layers_r": (0.0, 2.0), "flow_w_per_k": (0.0, 3000.0), "vapour_kg_s": (0.0, 1e-4), "kg_per_m2_day": (0.0, 3.0),
    "capacity_j_per_mk": (500.0, 9000.0), "transmittance_w_per_mk": (0.1, 2.0), "water_kg_per_m": (0.1, 2.0),
    "eta0": (0.5, 0.9), "a1_w_per_m2k": (1.0, 6.0), "a2_w_per_m2k2": (0.0, 0.03),
    "run_share": (0.05, 0.95), "around_w_per_k": (100.0, 900.0),
    "run_s": (300.0, 900.0), "period_s": (900.0, 3600.0), "joined_j_per_k": (1e5, 3e6),
    "porosity": (0.3, 0.5), "drained_share": (0.05, 0.2), "ceiling_w_per_m2k": (0.1, 3.0),
    "roof_w_per_m2k": (0.6, 1.8), "attic_w_per_m2k": (0.6, 1.8),
    "absorbed_w_per_m2": (0.0, 600.0), "sky_loss_w_per_m2": (-10.0, 120.0), "film_w_per_m2k": (8.0, 40.0),
    "tilt_deg": (0.0, 90.0), "station_m_s": (0.0, 15.0), "transmittance_w_per_m2k": (0.2, 5.88),
    "dew_point_c": (-30.0, 20.0), "clear_sky": (0.6, 0.85), "cloud_share": (0.0, 1.0),
    "infrared_w_per_m2": (150.0, 400.0), "sky_c": (-40.0, 15.0), "cloud_okta": (0.0, 8.0),
    "set_ratio": (4e-3, 8e-3), "outdoor_ratio": (1e-3, 6e-3), "most_kg_s": (0.01, 0.1), "constant": (0.0, 0.5),
    "per_k": (0.0, 0.05), "per_k2": (-1e-4, 0.0), "stops_c": (0.0, 5.0), "full_c": (8.0, 12.0),
    "clear_sky_share": (0.2, 1.1), "g_value": (0.3, 0.9), "irradiance_w_per_m2": (0.0, 1000.0),
}  # fmt: skip
OTHER = {  # arguments that are no numbers: one of each
    "soil": Soil(1.5, 3e6), "edge": EdgeInsulation(1.76, 0.6), "stories": 2, "shelter_class": 3, "base": "slab",
    "air_known": True, "faces": "attic", "flow": "up", "running": False, "curve_c": (-15.0, 2.0, 12.0),
    "curve_cop": (2.0, 3.2, 4.8), "coldest_c": -20.0,
}  # fmt: skip
SCALAR_LAWS = {  # of a list of paths or layers, or of the soil alone: not laws of one number
    "wall_resistance.parallel_path_resistance", "wall_resistance.combined_resistance",
    "wall_resistance.framed_resistance", "ground.penetration_depth", "inner_radiation.radiant_star_conductances",
}  # fmt: skip
ELEMENTWISE = {name: law for name, law in LAWS.items() if name not in SCALAR_LAWS}


def tree_of(name: str) -> ast.Module:
    return ast.parse(Path(inspect.getfile(importlib.import_module(f"thermal.physics.{name}"))).read_text("utf-8"))


def imports_of(name: str) -> set[str]:
    """Every module that a module imports, inside functions too."""
    modules = set()
    for node in ast.walk(tree_of(name)):
        if isinstance(node, ast.ImportFrom):
            modules.add(str(node.module))
        elif isinstance(node, ast.Import):
            modules |= {alias.name for alias in node.names}
    return modules


def drawn(law, seed: int) -> dict:
    """Arguments of a law: two rows of three columns each."""
    random = np.random.default_rng(seed)
    names = inspect.signature(law).parameters
    return {name: OTHER[name] if name in OTHER else random.uniform(*RANGES[name], size=(2, 3)) for name in names}


def results(value) -> tuple:
    return value if isinstance(value, tuple) else (value,)


def test_no_cycle_and_chains_of_at_most_three_modules():
    follows = {name: {t.rpartition(".")[2] for t in imports_of(name) if "physics" in t} for name in NAMES}

    def depth(name: str, above: tuple[str, ...] = ()) -> int:
        assert name not in above, " -> ".join((*above, name))
        return 1 + max((depth(target, (*above, name)) for target in follows[name]), default=0)

    assert max(depth(name) for name in NAMES) <= 3


@pytest.mark.parametrize("name", NAMES)
def test_no_arithmetic_in_place(name):
    """No `x += y`, no `out=`: a law leaves its arguments alone."""
    for node in ast.walk(tree_of(name)):
        assert not isinstance(node, ast.AugAssign), f"line {node.lineno}"
        assert not (isinstance(node, ast.keyword) and node.arg == "out"), f"line {node.value.lineno}"
        assert not (isinstance(node, ast.Attribute) and node.attr == "float32"), f"line {node.lineno}"


def test_the_list_of_laws_has_a_law_a_module_and_a_source_in_every_row():
    assert len(TABLE) >= len(NAMES)
    for law, module, source in TABLE:
        assert law
        assert module in NAMES
        assert source
    assert len({law for law, _, _ in TABLE}) == len(TABLE)


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
def test_a_law_describes_each_parameter_by_its_name_and_what_it_raises(law):
    text = inspect.getdoc(law) or ""
    described = text.split("Parameters\n")[1].split("Returns\n")[0]
    heads = {name for line in described.splitlines() if " : " in line for name in line.split(" : ")[0].split(", ")}
    assert heads == set(inspect.signature(law).parameters)
    if "raise " in inspect.getsource(law):
        assert "Raises\n------" in text


@pytest.mark.parametrize("law", ELEMENTWISE.values(), ids=ELEMENTWISE)
def test_a_law_takes_arrays_as_it_takes_floats(law):
    """Each element is what floats give, in double precision; the arguments are left as they were."""
    arguments = drawn(law, 1)
    before = {name: np.array(value) for name, value in arguments.items() if name in RANGES}
    whole = results(law(**arguments))
    for name, value in before.items():
        np.testing.assert_array_equal(arguments[name], value)
    for place in np.ndindex(2, 3):
        floats = {k: float(v[place]) if k in RANGES else v for k, v in arguments.items()}
        for array, number in zip(whole, results(law(**floats)), strict=True):
            assert np.ndim(number) == 0
            assert np.asarray(number).dtype in (np.float64, np.bool_)
            np.testing.assert_allclose(np.broadcast_to(array, (2, 3))[place], number, rtol=1e-13, atol=0)


@pytest.mark.parametrize("law", ELEMENTWISE.values(), ids=ELEMENTWISE)
def test_a_law_broadcasts(law):
    """One argument as a column, another as a row: as if both were spread out first."""
    full = drawn(law, 2)
    names = [name for name in full if name in RANGES]
    thin = {**full}
    for place, name in enumerate(names):
        thin[name] = full[name][:, :1] if place % 2 else full[name][:1]
    spread = {k: np.array(np.broadcast_to(v, (2, 3))) if k in RANGES else v for k, v in thin.items()}
    for a, b in zip(results(law(**thin)), results(law(**spread)), strict=True):
        np.testing.assert_allclose(np.broadcast_to(a, (2, 3)), np.broadcast_to(b, (2, 3)), rtol=1e-13, atol=0)

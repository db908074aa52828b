"""Sun, longwave, cloud and dew point of anybody's CSV: found by heading, turned to SI, kept and used."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pandas as pd
import pytest

from tests import fuzz
from thermal.climate.csv_import import import_csv
from thermal.climate.incident_sun import Site, clear_sky_sun, sun_angles
from thermal.climate.library import load_climate
from thermal.climate.sun_and_sky import outdoor_columns

HOURS = pd.date_range("2020-01-01", periods=24 * 20, freq="h", tz="UTC")
SITE = Site(44.9, -93.2, 250.0)


def write(path, columns: dict[str, object]) -> None:
    table = pd.DataFrame({"air_c": -3.0, **columns}, index=HOURS.strftime("%Y-%m-%dT%H:%MZ"))
    table.to_csv(path, index_label="time_utc")


def read(tmp_path, **columns) -> pd.DataFrame:
    path = tmp_path / "hours.csv"
    write(path, columns)
    return import_csv(path).hours


@pytest.mark.parametrize(
    ("heading", "value", "kind", "expected"),
    [
        ("GHI (W/m2)", 500.0, "sun_w_m2", 500.0),
        ("solar_radiation (kJ/m2)", 1800.0, "sun_w_m2", 500.0),
        ("shortwave_radiation [MJ/m2]", 1.8, "sun_w_m2", 500.0),
        ("DNI (W/m2)", 700.0, "direct_w_m2", 700.0),
        ("DHI (W/m2)", 90.0, "diffuse_w_m2", 90.0),
        ("infrared (W/m2)", 240.0, "infrared_w_m2", 240.0),
        ("cloud_cover (%)", 75.0, "cloud_okta", 6.0),
        ("cloud (tenths)", 5.0, "cloud_okta", 4.0),
        ("cldc", 7.0, "cloud_okta", 7.0),
        ("dew_point (F)", 14.0, "dew_c", -10.0),
        ("Dew-point (C)", -10.0, "dew_c", -10.0),
    ],
)
def test_a_heading_gives_column_and_unit(tmp_path, heading, value, kind, expected):
    """1,800 kJ/m2 in an hour is 500 W/m2; 14 degF is -10 degC."""
    assert read(tmp_path, **{heading: value})[kind].iloc[0] == pytest.approx(expected)


def test_what_is_added_is_kept_and_used(tmp_path, monkeypatch):
    """Stamps at the end of the hour, found out and said; cloud and dew point make the sky."""
    monkeypatch.chdir(tmp_path)
    sun = clear_sky_sun(sun_angles(HOURS - pd.Timedelta("30min"), SITE))
    write(tmp_path / "mine.csv", {"ghi": sun, "cloud_okta": 0, "dew_c": -9.0})
    position = ("--lat", "44.9", "--lon", "-93.2", "--elevation", "250")
    code, out, err = fuzz.ended("climate", "add", "mine.csv", "--name", "mine", *position)
    assert code == 0, err
    assert "the stamps of the sun stand at the end of each hour" in out
    climate = load_climate("mine")
    outdoors = outdoor_columns(climate)
    assert (outdoors.basis.sun, outdoors.basis.sky) == ("measured", "dew point and cloud")
    assert climate.assumed == ("wind_m_s",)


@pytest.mark.parametrize("position", [(), ("--lat", "44.9")], ids=["none", "latitude alone"])
def test_a_sun_without_a_position_is_kept_but_said_not_to_count(tmp_path, monkeypatch, position):
    """No longitude is made up: Greenwich's is not used for a file that has only a latitude."""
    monkeypatch.chdir(tmp_path)
    write(tmp_path / "mine.csv", {"ghi": np.maximum(np.sin((HOURS.hour - 12.2) / 12 * np.pi), 0.0) * 300.0})
    code, out, err = fuzz.ended("climate", "add", "mine.csv", "--name", "mine", *position)
    assert code == 0, err
    assert "its sun is not used until it has a position: add --lat and --lon" in out
    climate = load_climate("mine")
    assert climate.sun is not None
    assert outdoor_columns(climate, sky=False).basis.sun == ""
    assert climate.header.latitude == (44.9 if position else 45.0)


def test_a_sun_of_another_time_zone_is_refused_when_it_is_added(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    sun = clear_sky_sun(sun_angles(HOURS + pd.Timedelta("7h"), SITE))
    write(tmp_path / "mine.csv", {"ghi": sun})
    code, _, err = fuzz.ended("climate", "add", "mine.csv", "--name", "mine", "--lat", "44.9", "--lon", "-93.2")
    assert code == 2
    assert "of sun at 2020-01-0" in err
    assert "at night" in err


def test_a_plan_without_sun_does_not_load_pvlib():
    """It takes half a second: only a weather file with sun or cloud, and a plan that counts it, pay for it."""
    code = (
        "import sys\n"
        "from thermal import read_plan, scene_of\n"
        "from thermal.plan.example_plans import example_path\n"
        "scene_of(read_plan(example_path('garage-metric')))\n"
        "print('pvlib' in sys.modules)\n"
        "scene_of(read_plan(example_path('lean-to-metric')))\n"
        "print('pvlib' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=True)
    assert done.stdout.split() == ["False", "True"]

"""Sun on walls and roof and the temperature of the sky at Denver, against six programs of ANSI/ASHRAE 140-2020."""

from __future__ import annotations

import json
import os
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from thermal.climate.dataset import Header, climate_from
from thermal.climate.forcing import SKY
from thermal.climate.incident_sun import HorizontalSun, Site, incident_sun, split_sun, sun_angles
from thermal.climate.sun_and_sky import outdoor_columns
from thermal.core.facings import FACINGS
from thermal.physics import moist_air, outside_film, sky_temperature

REFS = Path(os.environ.get("OVERWINTER_REFS", Path(__file__).parents[3] / "shared" / "refs")) / "cases"
pytestmark = pytest.mark.skipif(not (REFS / "denver_725650_tmy3.csv.gz").exists(), reason="the references are not here")
WALTON = 1.0 + 0.0224 * np.arange(11) - 0.0035 * np.arange(11) ** 2 + 0.00028 * np.arange(11) ** 3


@cache
def published() -> dict:
    return json.loads((REFS / "ashrae140_2020_incident_solar_sky.json").read_text("utf-8"))


@cache
def denver() -> pd.DataFrame:
    return pd.read_csv(REFS / "denver_725650_tmy3.csv.gz")


@cache
def denver_sun():
    """Middles of the hours, whose stamps are their ends in UTC-7; the sun's angles; the sun on the ground."""
    place = published()["weather"]
    times = pd.date_range("2001-01-01 07:30", periods=8760, freq="h", tz="UTC")
    angles = sun_angles(times, Site(place["lat"], place["lon"], place["elevation_m"]))
    table = denver()
    columns = (table[name].to_numpy(float) for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"))
    return times, angles, HorizontalSun(*columns)


@pytest.mark.parametrize("side", ["Horizontal", "North", "East", "South", "West"])
def test_the_sun_on_each_side_is_within_the_range_of_six_programs(side):
    """Yearly kWh/m2, which the programs give as whole numbers."""
    facing = "roof" if side == "Horizontal" else side.lower()
    kwh = incident_sun(*denver_sun())[:, FACINGS.index(facing)].sum() / 1000.0
    expected = published()["expected"]["incident_kwh_m2"][side]
    print(side, kwh, expected)
    assert expected["min"] <= round(kwh) <= expected["max"]


def test_the_sun_split_by_correlation_is_within_the_range_too():
    """Without the direct and diffuse columns: the walls within the programs' range as well."""
    times, angles, sun = denver_sun()
    incident = incident_sun(times, angles, split_sun(times, angles, sun.global_w_m2)).sum(axis=0) / 1000.0
    for side, expected in published()["expected"]["incident_kwh_m2"].items():
        kwh = incident[FACINGS.index("roof" if side == "Horizontal" else side.lower())]
        print(side, kwh, expected["min"], expected["max"])
        assert expected["min"] <= round(kwh) <= expected["max"]


def test_the_unknown_side_is_the_mean_of_four():
    incident = incident_sun(*denver_sun())
    four = [FACINGS.index(name) for name in ("north", "east", "south", "west")]
    np.testing.assert_allclose(incident[:, -1], incident[:, four].mean(axis=1))


def sky_within_range(sky_c: np.ndarray) -> None:
    expected = published()["expected"]["sky_c"]
    for word, value in (("Average", sky_c.mean()), ("Minimum", sky_c.min()), ("Maximum", sky_c.max())):
        own = expected[f"Annual Hourly Integrated {word}"]
        print(word, value, own["min"], own["max"])
        assert own["min"] - 0.15 <= value <= own["max"] + 0.15  # given to 0.1 K; hourly means at one end


def test_the_sky_of_the_infrared_column_is_within_the_range_of_six_programs():
    sky_within_range(sky_temperature.sky_temperature(denver()["infrared_w_m2"].to_numpy(float)))


def test_the_sky_of_dew_point_and_cloud_is_within_the_range_of_six_programs():
    """Cloud is the one that the infrared column was made with: Clark & Allen 1978 times Walton's polynomial in tenths.

    The column shows it, for its smallest ratio to the clear sky is 1 and its largest that of ten tenths.
    """
    table = denver()
    air, dew = table["air_c"].to_numpy(float), table["dew_c"].to_numpy(float)
    clark = 0.787 + 0.764 * np.log((dew + 273.15) / 273.0)
    ratio = table["infrared_w_m2"].to_numpy(float) / sky_temperature.infrared_from_sky(air, clark)
    assert ratio.min() == pytest.approx(1.0, abs=0.005)
    assert ratio.max() == pytest.approx(WALTON[-1], abs=0.005)
    cloud = np.interp(ratio, WALTON, np.arange(11)) / 10.0
    emissivity = sky_temperature.sky_emissivity(sky_temperature.clear_sky_emissivity(dew), cloud)
    sky_within_range(sky_temperature.sky_temperature(sky_temperature.infrared_from_sky(air, emissivity)))


def test_the_dew_point_of_humidity_is_the_one_of_the_file():
    """Its relative humidity is rounded to whole percent."""
    table = denver()
    vapour = table["rh_pct"] / 100.0 * moist_air.water_saturation_pressure(table["air_c"].to_numpy(float))
    error = moist_air.dew_point(vapour.to_numpy()) - table["dew_c"].to_numpy(float)
    assert abs(np.median(error)) < 0.2


def test_the_sky_of_dew_point_and_sun_is_near_the_range_of_six_programs():
    """Cloud from each day's sun: the yearly mean 1 K colder than the coldest program at most, on the safe side."""
    times = pd.date_range("2001-01-01 07:00", periods=8760, freq="h", tz="UTC")
    table, place = denver(), published()["weather"]
    columns = {"air_c": "air_c", "rh_pct": "rh_pct", "sun_w_m2": "ghi_w_m2"}
    hours = pd.DataFrame({name: table[old].to_numpy(float) for name, old in columns.items()}, index=times)
    hours.index = hours.index + pd.Timedelta("1h")  # the end of each hour
    climate = climate_from(hours, Header("d", "Denver", place["lat"], place["lon"], place["elevation_m"]))
    outdoors = outdoor_columns(climate)
    assert (outdoors.basis.sky, outdoors.basis.sun) == ("dew point and sun", "measured")
    air = climate.hours["air_c"].to_numpy()
    air = 0.5 * (air[:-1] + air[1:])
    film = outside_film.outside_film(outside_film.wind_at_wall(3.0), air)
    longwave = sky_temperature.infrared_from_sky(air, 1.0) - outdoors.hours[SKY].to_numpy()[:-1] * film
    mean_c = sky_temperature.sky_temperature(longwave).mean()
    expected = published()["expected"]["sky_c"]["Annual Hourly Integrated Average"]
    print(mean_c, expected)
    assert expected["min"] - 1.0 <= mean_c <= expected["max"]

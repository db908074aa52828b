"""Sun and sky of a weather file: what its stamps stand for, faults, cloud, the clear sky of the coldest days."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from thermal.climate.dataset import Climate, Header, climate_from
from thermal.climate.design_winter import design_weather
from thermal.climate.forcing import CLEAR_SKY, SKY, sun_column, warmed_column
from thermal.climate.heating_seasons import winters_of
from thermal.climate.incident_sun import Site, clear_sky_sun, sun_angles
from thermal.climate.library import load_climate, read_climate
from thermal.climate.sun_and_sky import outdoor_columns
from thermal.climate.sun_hours import hourly_sun
from thermal.errors import ClimateError
from thermal.physics.cloud_cover import sun_through_cloud
from thermal.physics.outside_film import outside_film, wind_at_wall
from thermal.physics.sky_temperature import sky_loss

SITE = Site(44.9, -93.2, 250.0)
HEADER = Header("here", "Here", 44.9, -93.2, 250.0, "America/Chicago")
HOURS = pd.date_range("2020-09-10", "2021-05-10", freq="h", tz="UTC", inclusive="left")


def clear_sun(middles: pd.DatetimeIndex) -> np.ndarray:
    return clear_sky_sun(sun_angles(middles, SITE))


def weather(columns: dict[str, object] | None = None, header: Header = HEADER) -> Climate:
    """A winter with cold nights and one cold spell, the sun cloudless unless given."""
    air = -3.0 + 4.0 * np.cos((np.arange(len(HOURS)) - 3) / 24.0 * 2 * np.pi)
    air[3000:3072] -= 15.0
    table = {"air_c": air, "wind_m_s": 2.0, **(columns or {})}
    return climate_from(pd.DataFrame(table, index=HOURS), header)


@pytest.mark.parametrize("shift_h", [-1.0, -0.5, 0.0, 0.5, 1.0])
def test_what_the_stamps_of_the_sun_stand_for_is_found_out(shift_h):
    """A cloudless sun stamped at the end, the middle, the start of its hours, or an hour off."""
    sun = pd.DataFrame({"sun_w_m2": clear_sun(HOURS + pd.Timedelta(hours=shift_h))}, index=HOURS)
    measured = hourly_sun(sun, SITE, "here")
    assert measured.shift_h == shift_h
    expected = pd.Series(clear_sun(HOURS + pd.Timedelta("30min")), index=HOURS)
    error = (measured.hours["sun_w_m2"] - expected).dropna()
    assert len(error) > len(HOURS) - 3
    assert abs(error).max() < 40.0  # interpolated between middles an hour apart, at sunrise
    assert abs(error.mean()) < 0.5


def test_the_sun_of_three_nights_is_an_error_and_of_four_is_refused():
    values = clear_sun(HOURS)
    nights = [index for index, time in enumerate(HOURS) if time.hour == 7]  # 1 in the morning there
    for count, refused in ((3, False), (4, True)):
        lit = values.copy()
        lit[nights[:count]] = 400.0
        sun = pd.DataFrame({"sun_w_m2": lit}, index=HOURS)
        if refused:
            with pytest.raises(ClimateError, match=r"here: 400 W/m² of sun at 2020-09-10 07:00 UTC, at night"):
                hourly_sun(sun, SITE, "here")
        else:
            assert hourly_sun(sun, SITE, "here").shift_h == 0.0


def test_a_sun_six_hours_off_is_refused():
    """Local times read as UTC."""
    sun = pd.DataFrame({"sun_w_m2": clear_sun(HOURS + pd.Timedelta(hours=6))}, index=HOURS)
    with pytest.raises(ClimateError, match="at night"):
        hourly_sun(sun, SITE, "here")


def test_a_sun_far_below_zero_is_refused_with_its_hour(tmp_path):
    rows = [f"2020-01-01T{hour:02d}:00Z,1.0,{-1.5 if hour != 5 else -250}" for hour in range(24)]
    path = tmp_path / "hours.csv"
    path.write_text("time_utc,air_c,sun_w_m2\n" + "\n".join(rows) + "\n")
    with pytest.raises(ClimateError, match=r"2020-01-01 05:00, sun_w_m2: -250 W/m² of sun is below zero"):
        read_climate(path)
    path.write_text(path.read_text().replace("-250", "-2.5"))  # an instrument's error at night
    assert read_climate(path).sun is None


def test_a_file_without_a_position_has_no_sun_and_says_so(tmp_path):
    path = tmp_path / "hours.csv"
    sun = clear_sun(HOURS)
    table = pd.DataFrame({"air_c": 1.0, "sun_w_m2": sun}, index=HOURS.strftime("%Y-%m-%dT%H:%MZ"))
    table.to_csv(path, index_label="time_utc")
    for header, known in (("", False), ("latitude = 44.9\n", False), ("latitude = 44.9\nlongitude = -93.2\n", True)):
        (tmp_path / "hours.toml").write_text(header)
        climate = read_climate(path)
        assert climate.sun is not None
        outdoors = outdoor_columns(climate, sky=False)
        assert outdoors.basis.sun == ("measured" if known else "")
        assert ("does not say where it was measured" in outdoors.basis.note) is not known


def test_cloud_gives_the_sun_where_the_file_has_none():
    """Kasten & Czeplak: 1 - 0.75 (6/8)^3.4 of a cloudless sky's."""
    cloudy = outdoor_columns(weather({"cloud_okta": 6.0, "rh_pct": 70.0}))
    assert (cloudy.basis.sun, cloudy.basis.sky) == ("cloud", "dew point and cloud")
    roof = cloudy.hours[sun_column("roof")].to_numpy()
    np.testing.assert_allclose(roof, float(sun_through_cloud(6.0)) * clear_sun(HOURS + pd.Timedelta("30min")))


def test_the_sky_comes_from_what_the_file_has():
    """Longwave first, then dew point with cloud or with the sun of the day, else 11 K and a clear sky of 20 K."""
    sun = {"sun_w_m2": clear_sun(HOURS)}
    kinds = {
        "infrared": {"infrared_w_m2": 200.0, "cloud_okta": 0.0},
        "dew point and cloud": {"rh_pct": 60.0, "cloud_okta": 0.0, **sun},
        "dew point and sun": {"rh_pct": 60.0, **sun},
        "assumed": {"rh_pct": 60.0},
    }
    found = {name: outdoor_columns(weather(columns), sun=False) for name, columns in kinds.items()}
    assert {name: outdoors.basis.sky for name, outdoors in found.items()} == {name: name for name in kinds}
    clear, of_the_sun = (found[f"dew point and {kind}"].hours[SKY].mean() for kind in ("cloud", "sun"))
    assert of_the_sun == pytest.approx(clear, rel=0.03)  # the sun was cloudless
    assumed, air = found["assumed"].hours, weather().hours["air_c"].to_numpy()
    mean_c = 0.5 * (air[:-1] + air[1:])
    film = outside_film(wind_at_wall(2.0), mean_c)
    for column, below in ((SKY, 11.0), (CLEAR_SKY, 20.0)):
        np.testing.assert_allclose(assumed[column].to_numpy()[:-1], sky_loss(mean_c, mean_c - below) / film)


def test_the_sky_is_clear_in_the_coldest_three_days_and_in_those_of_the_rare_spell():
    climate = weather()
    winter = winters_of(climate, (), outdoor_columns(climate))
    counted = winter.forcing.columns
    clear = counted[:, CLEAR_SKY, 0] > 0.0
    assert clear.sum() == 72
    assert winter.outdoor_c[clear, 0].mean() < -14.0
    assert ((counted[:, SKY, 0] > 0.0) == ~clear).all()
    alone = weather()  # one hour colder than the coldest three days, weeks before them
    alone.hours.iloc[2000, alone.hours.columns.get_loc("air_c")] = -60.0
    rare = design_weather(winters_of(alone, (), outdoor_columns(alone)), -45.0)
    cold = rare.forcing.columns[:, CLEAR_SKY, 0] > 0.0
    assert cold.sum() == 72
    assert rare.outdoor_c[cold].min() == rare.outdoor_c.min()
    known = weather({"infrared_w_m2": 220.0})
    assert not winters_of(known, (), outdoor_columns(known)).clear_days.any()


def test_no_sun_is_no_bonus():
    """Without sun in the file no column ever warms a side, clear sky or not."""
    climate = weather()
    winter = winters_of(climate, (), outdoor_columns(climate))
    assert winter.sun_and_sky.sun == ""
    assert (winter.forcing.columns[:, :SKY] == 0.0).all()


def test_golden_has_its_sun_and_a_wall_of_each_direction():
    """South walls have most of it in winter, north walls least; a film of this wind, about 14 W/m2K."""
    climate = load_climate("golden-co")
    outdoors = outdoor_columns(climate)
    winter = winters_of(climate, (), outdoors)
    sums = {facing: winter.columns[:, sun_column(facing)].mean() for facing in ("north", "east", "south", "roof")}
    assert sums["north"] < sums["east"] < sums["roof"] < sums["south"]
    assert sums["roof"] == pytest.approx(climate.sun["sun_w_m2"].loc["2001-10":"2002-04"].mean(), rel=0.05)
    warm = winter.columns[:, warmed_column("south")].mean()
    assert sums["south"] / warm == pytest.approx(outdoors.basis.film_w_per_m2k, rel=0.1)


def test_humidity_comes_from_a_dew_point():
    climate = weather({"dew_c": -7.0})
    assert climate.assumed == ()
    assert climate.hours["rh_pct"].between(10.0, 100.0).all()
    assert replace(climate.header, latitude=45.0, longitude=0.0).has_position is False

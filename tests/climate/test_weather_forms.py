"""Weather files as stations, services and loggers write them: each is read right or refused, none silently wrong."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd
import pytest

from tests import fuzz
from tests.climate.test_file_forms import ISO, PLANS, ROOM, fahrenheit, rows, written
from thermal.climate.csv_import import import_csv
from thermal.climate.sensor_table import ReadOptions
from thermal.errors import ClimateError

CALENDAR = pd.date_range("2016-01-01", "2016-12-31 23:00", freq="h")  # swapped days fill each other's places
DAY = np.arange(len(CALENDAR)) / 24.0
AIR = 11.0 - 14.0 * np.cos(2 * np.pi * (DAY - 20) / 365.25) + 4.0 * np.sin(2 * np.pi * DAY) + 5.0 * np.sin(DAY / 2.3)
AIR = np.round(AIR, 1)


def weather(form: str = "%Y-%m-%d %H:%M", *columns) -> str:
    return rows([stamp.strftime(form) for stamp in CALENDAR], *(columns or (AIR,)))


def assert_same_air(series, air=AIR):
    assert (series.hours.index == CALENDAR.tz_localize("UTC")).all()
    np.testing.assert_allclose(series.hours["air_c"], air, atol=2e-3)


WEATHER = {
    "day first with slashes": "time,air_c\n" + weather("%d/%m/%Y %H:%M"),
    "day first with points": "time;air_c\n" + weather("%d.%m.%Y %H:%M").replace(",", ";"),
    "month first": "time,air_c\n" + weather("%m/%d/%Y %H:%M"),
    "indoors before outdoors": "time,temp_indoor_c,temp_outdoor_c\n" + weather("%Y-%m-%d %H:%M", 0 * AIR + 20.0, AIR),
    "air of two places": "time,Indoor air temperature (C),Outdoor air temperature (C)\n"
    + weather("%Y-%m-%d %H:%M", 0 * AIR + 20.0, AIR),
    "water before outdoors": "time,temp_water_c,temp_outdoor_c\n" + weather("%Y-%m-%d %H:%M", 0 * AIR + 12.0, AIR),
    "dew point before air": "time,temp_dew_c,temp_air_c\n" + weather("%Y-%m-%d %H:%M", AIR - 6.0, AIR),
    "one word": "DATE,HourlyDewPointTemperature,HourlyDryBulbTemperature,HourlyWindGustSpeed\n"
    + weather("%Y-%m-%dT%H:%M:%S", fahrenheit(AIR - 6.0), fahrenheit(AIR), 0 * AIR + 40.0),
    "wind without a unit beside degF": "time,tempF,wind\n" + weather("%Y-%m-%d %H:%M", fahrenheit(AIR), 0 * AIR + 9.0),
    "soil and felt temperatures": "time,soil_temperature_0cm (°C),apparent_temperature (°C),temperature_2m (°C)\n"
    + weather("%Y-%m-%dT%H:%M", AIR + 2.0, AIR - 3.0, AIR),
}


@pytest.mark.parametrize("form", WEATHER)
def test_a_weather_file_of_each_form_is_read_right(tmp_path, form):
    series = import_csv(written(tmp_path, WEATHER[form]), "UTC")
    assert_same_air(series)
    assert "wind_m_s" not in series.hours
    if "dew_c" in series.hours:
        np.testing.assert_allclose(series.hours["dew_c"], AIR - 6.0, atol=2e-3)


REFUSED_WEATHER = {
    "degF under degC": ("time,air_c\n" + weather("%Y-%m-%d %H:%M", fahrenheit(AIR)), "--unit air=degF"),
    "mild degF under degC": (
        "time,air_c\n" + weather("%Y-%m-%d %H:%M", fahrenheit(0.5 * AIR)), r"cannot be in °C: .* Add --unit air=degF",
    ),
    "degC under degF": ("time,air_f\n" + weather(), r"cannot be in °F: .* Add --unit air=degC"),
    "two places": ("time,temp_outdoor_north,temp_outdoor_south\n" + weather("%Y-%m-%d %H:%M", AIR, AIR + 1.0),
                   r'--column air="temp_outdoor_north" or --column air="temp_outdoor_south"'),
    "indoors alone": ("time,temp_indoor_c\n" + weather(), r"no outdoor air .*\(room air temperature\)"),
    "one heading twice": ("time,Temp,Temp\n" + weather("%Y-%m-%d %H:%M", AIR, AIR + 1.0), r'or --column air="Temp#2"'),
    "a name that says nothing": ("time,Temp Peter (C)\n" + weather(), 'add --column air="HEADING"'),
    "three stations in one file": (
        "origin,time,temp_c\n" + "\n".join(
            f"{name},{line}" for k, name in enumerate("ABC") for line in weather("%Y-%m-%d %H:%M", AIR + k).split("\n")
        ), "occur more than once with different temperatures",
    ),
    "a twentieth of the hours beyond any record": (
        "time,air_c\n" + weather("%Y-%m-%d %H:%M", np.where(np.arange(len(AIR)) % 20 == 0, 77.0, AIR)),
        r"440 of 8,784 values of 'air_c' are impossible .*\(line 2: 77, line 22: 77, line 42: 77\)",
    ),
}  # fmt: skip


@pytest.mark.parametrize("form", REFUSED_WEATHER)
def test_an_open_weather_file_is_refused(tmp_path, form):
    text, why = REFUSED_WEATHER[form]
    with pytest.raises(ClimateError, match=why):
        import_csv(written(tmp_path, text), "UTC")


def test_the_user_can_say_what_the_file_does_not(tmp_path):
    path = written(tmp_path, "time,air_c\n" + weather("%Y-%m-%d %H:%M", fahrenheit(AIR)))
    assert_same_air(import_csv(path, "UTC", ReadOptions(units={"air": "degF"})))
    path = written(tmp_path, "time,a,b\n" + weather("%Y-%m-%d %H:%M", AIR, AIR + 9.0))
    assert_same_air(import_csv(path, "UTC", ReadOptions(columns={"air": "a"}, units={"air": "degC"})))
    path_of_two = written(tmp_path, "time,start time,air_c\n" + weather(f"{ISO[0]},%Y-%m-%d %H:%M"), "two.csv")
    assert_same_air(import_csv(path_of_two, "UTC", ReadOptions(columns={"time": "Start time"})))
    for role in ("air", "time"):
        with pytest.raises(ClimateError, match="no column has the heading 'c'"):
            import_csv(path, "UTC", ReadOptions(columns={role: "c"}))
    with pytest.raises(ClimateError, match="no column has the heading 'c'"):
        import_csv(path, "UTC", ReadOptions(columns={"air": "c"}))


def short_dates(days: int, first: str = "2017-02-01") -> str:
    times = pd.date_range(first, periods=24 * days, freq="h")
    return "time,air_c\n" + rows([time.strftime("%d/%m/%Y %H:%M") for time in times], -4.0 + np.arange(24 * days) % 24)


def test_an_order_of_dates_that_nothing_tells_is_asked_for(tmp_path):
    week = import_csv(
        written(tmp_path, short_dates(7)), "UTC"
    )  # read month-first, it would miss 30 days between any two
    assert (week.hours.index[0], week.hours.index[-1]) == (
        pd.Timestamp("2017-02-01", tz="UTC"),
        pd.Timestamp("2017-02-07 23:00", tz="UTC"),
    )
    assert any("dates are day-first" in note and "0 times are missing" in note for note in week.notes)
    day = written(tmp_path, short_dates(1))
    with pytest.raises(ClimateError, match="add --dates day-first or --dates month-first"):
        import_csv(day, "UTC")
    for order, date in (("day-first", "2017-02-01"), ("month-first", "2017-01-02")):
        assert import_csv(day, "UTC", ReadOptions(dates=order)).hours.index[0] == pd.Timestamp(date, tz="UTC")
    for first, second in (("01/02/2017", "02/03/2017"), ("05/04/2017", "06/05/2017")):  # 28 or 31 days between them
        rows_of_two = "".join(
            f"{date} {hour:02d}:00,{hour / 9:.1f}\n" for date in (first, second) for hour in range(24)
        )
        with pytest.raises(ClimateError, match="add --dates"):
            import_csv(written(tmp_path, "time,air_c\n" + rows_of_two), "UTC")
    mixed = short_dates(20).replace("05/02/2017 03:00", "02/25/2017 03:00")
    with pytest.raises(ClimateError, match="write all dates in one order"):
        import_csv(written(tmp_path, mixed), "UTC")


def test_every_column_is_listed(tmp_path):
    text = "time,Relative humidity (%),Air outside,Water temp,Cloud (tenths),GHI (W/m2),note\n" + weather(
        "%Y-%m-%d %H:%M", 0 * AIR + 80.0, AIR, AIR, 0 * AIR + 5.0, 0 * AIR + 100.0, AIR
    )
    series = import_csv(written(tmp_path, text), "UTC")
    listing = [re.sub(r" +", " ", line) for line in series.listing()]
    assert listing == [
        "'time' read as time",
        "'Relative humidity (%)' read as relative humidity, in %",
        "'Air outside' read as outdoor air temperature, in °C",
        "'Water temp' not used: water temperature",
        "'Cloud (tenths)' read as cloud cover, in tenths",
        "'GHI (W/m2)' read as sun on a horizontal surface, in W/m²",
        "'note' not used: its heading does not say what it is",
    ]
    assert (series.hours["cloud_okta"] == 4.0).all()
    assert (series.hours["sun_w_m2"] == 100.0).all()


def test_stuck_runs_and_spikes_are_reported(tmp_path):
    air = AIR.copy()
    air[1000:1600] = 0.0
    air[5000] -= 30.0
    series = import_csv(written(tmp_path, "time,air_c\n" + weather("%Y-%m-%d %H:%M", air)), "UTC")
    assert any(f"600 h of 0 °C from {CALENDAR[1000]:%Y-%m-%d %H:%M}" in note for note in series.notes)
    assert any(
        f"1 times; the farthest {air[5000]:.1f} °C at {CALENDAR[5000]:%Y-%m-%d %H:%M}" in note for note in series.notes
    )
    calm = import_csv(written(tmp_path, "time,air_c\n" + weather()), "UTC")
    assert not any("stuck" in note or "single hours" in note for note in calm.notes)


def test_numbers_that_stand_for_no_value_are_missing(tmp_path):
    air = AIR.copy()
    air[3000:3010] = -9999.0
    series = import_csv(written(tmp_path, "time,air_c\n" + weather("%Y-%m-%d %H:%M", air)), "UTC")
    assert series.hours["air_c"].min() == AIR.min()
    assert any("stand for no value, such as -9999: 10" in note for note in series.notes)


def test_the_unit_is_told_by_the_latitude_where_a_winter_alone_is_known(tmp_path):
    winter = slice(0, 24 * 60)  # January and February
    cold = AIR[winter] - 2.0
    text = "time,air_c\n" + rows([stamp.strftime("%Y-%m-%d %H:%M") for stamp in CALENDAR[winter]], fahrenheit(cold))
    with pytest.raises(ClimateError, match=r"cannot be in °C"):
        import_csv(written(tmp_path, text), "UTC", None, 45.0)
    bare = text.replace("air_c", "temp")
    series = import_csv(written(tmp_path, bare), "UTC", None, 45.0)
    np.testing.assert_allclose(series.hours["air_c"], cold, atol=2e-3)


def test_commands_show_every_column_before_they_answer(tmp_path, monkeypatch):
    """`climate add` and `fit` list the columns; what is open is exit 2 with the option that settles it."""
    monkeypatch.chdir(tmp_path)
    written(tmp_path, WEATHER["indoors before outdoors"], "w.csv")
    code, out, err = fuzz.ended("climate", "add", "w.csv", "--name", "yard", "--zone", "UTC")
    assert code == 0, err
    assert re.search(r"'temp_indoor_c' +not used: room air temperature", out)
    assert re.search(r"'temp_outdoor_c' +read as outdoor air temperature, in °C", out)
    written(tmp_path, REFUSED_WEATHER["two places"][0], "w.csv")
    code, _, err = fuzz.ended("climate", "add", "w.csv", "--name", "yard2", "--zone", "UTC")
    assert code == 2
    assert '--column air="temp_outdoor_north"' in err
    option = ("--column", "air=temp_outdoor_north", "--unit", "air=degC")
    assert fuzz.ended("climate", "add", "w.csv", "--name", "yard2", "--zone", "UTC", *option)[0] == 0
    plan = (PLANS / "shed-metric.toml").read_text("utf-8")
    (tmp_path / "p.toml").write_text(plan, "utf-8")
    written(
        tmp_path,
        "No.,Time,Temperature\n" + rows([f"{n},{t}" for n, t in enumerate(ISO[:100])], ROOM[:100] + 20.0),
        "r.csv",
    )
    code, out, err = fuzz.ended("fit", "p.toml", "--room", "r.csv", "--unit", "room=degC")
    assert re.search(r"'No.' +not used: a count or a name\n +'Time' +read as time", out)
    assert re.search(r"'Temperature' +read as room air temperature, in °C", out)
    assert (code, "needs at least 7" in err) == (2, True)  # days
    for options in (("--dates", "us"), ("--column", "air"), ("--unit", "air=furlong"), ("--column", "moon=x")):
        code, _, err = fuzz.ended("climate", "add", "r.csv", "--name", "yard3", "--zone", "UTC", *options)
        assert code == 2, options
        assert options[0] in err
    code, _, err = fuzz.ended("fit", "p.toml")
    assert (code, "--water FILE" in err) == (2, True)

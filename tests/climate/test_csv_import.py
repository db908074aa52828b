from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cli.test_cli import overwinter
from tests.climate.test_dataset import wave
from thermal.climate.csv_import import import_csv
from thermal.climate.dataset import climate_from
from thermal.climate.design_conditions import design_temperatures, winter_stats
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate
from thermal.errors import ClimateError

REFS = os.environ.get("OVERWINTER_REFS", str(Path(__file__).resolve().parents[3] / "shared" / "refs"))
RAW = Path(REFS) / "climates"


def written(tmp_path, text: str, encoding="utf-8") -> Path:
    path = tmp_path / "hours.csv"
    path.write_bytes(text.encode(encoding))
    return path


def hours(n=48, start="2020-01-01", tz="UTC"):
    index = pd.date_range(start, periods=n, freq="h", tz="UTC")
    return index, 2.0 + np.arange(n) % 24 / 10


def test_fahrenheit_mph_and_duplicates_are_understood(tmp_path):
    index, air = hours()
    rows = "\n".join(f"{t:%Y-%m-%dT%H:%MZ},{a * 1.8 + 32:.4f},55,6.7" for t, a in zip(index, air, strict=True))
    path = written(tmp_path, "timestamp,Temp (°F),Humidity (%),Wind Speed (mph)\n" + rows + "\n" + rows.splitlines()[0])
    table = import_csv(path)
    np.testing.assert_allclose(table.hours["air_c"], air, atol=1e-3)
    assert table.hours["wind_m_s"].iloc[0] == pytest.approx(2.995, abs=0.01)
    assert any("more than once" in one for one in table.notes)
    assert "read as outdoor air temperature, in °F" in table.listing()[1]


def test_semicolons_decimal_commas_latin_letters_and_a_preamble(tmp_path):
    index, air = hours()
    rows = "\n".join(
        f"{t:%Y-%m-%d %H:%M};{str(round(a, 1)).replace('.', ',')}" for t, a in zip(index, air, strict=True)
    )
    text = "Station Übersee\n\nZeit;temperature_C\n" + rows
    table = import_csv(written(tmp_path, text, "latin-1"), "UTC")
    np.testing.assert_allclose(table.hours["air_c"], air.round(1))
    assert any("semicolons" in one for one in table.notes)
    assert any("Latin-1" in one for one in table.notes)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    zone=st.sampled_from(["America/Chicago", "Europe/Berlin", "Australia/Sydney", "UTC", "America/Anchorage"]),
    day=st.integers(0, 700),
)
def test_local_clocks_with_summer_time_come_back_to_utc(tmp_path, zone, day):
    """Hours written on a local clock, both of the doubled autumn hour, none of the skipped spring hour."""
    index = pd.date_range(pd.Timestamp("2019-01-01", tz="UTC") + pd.Timedelta(days=day), periods=480, freq="h")
    air = np.sin(np.arange(480) / 5) * 8
    local = index.tz_convert(zone)
    rows = "\n".join(f"{t:%Y-%m-%d %H:%M},{a:.3f}" for t, a in zip(local, air, strict=True))
    table = import_csv(written(tmp_path, "time,temp_c\n" + rows), zone)
    assert (table.hours.index == index).all()
    np.testing.assert_allclose(table.hours["air_c"], air.round(3), atol=1e-9)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(minute=st.integers(1, 59))
def test_stamps_between_hours_are_interpolated(tmp_path, minute):
    index = pd.date_range("2020-01-01", periods=60, freq="h", tz="UTC") + pd.Timedelta(minutes=minute)
    rows = "\n".join(f"{t.isoformat()},{i}" for i, t in enumerate(index))
    table = import_csv(written(tmp_path, "time_utc,air_c\n" + rows))
    climate = climate_from(table.hours, wave()[1])
    expected = np.arange(59) + (60 - minute) / 60
    np.testing.assert_allclose(climate.hours["air_c"], expected, atol=1e-6)


@pytest.mark.parametrize(
    ("text", "zone", "notes"),
    [
        ("time,temp_c\n" + "2020-01-01 00:00,1\n" * 30, None, "have no time zone"),
        ("time,temp_c\n" + "2020-01-01 00:00,1\n" * 30, "Mars/Base", "not a time zone"),
        ("a,b\n1,2\n", None, "no time among the columns 'a', 'b'"),
        ("temp_c,wind\n" + "1,2\n" * 30, None, "no time among the columns"),
        ("time,temp_c\n" + "yesterday,1\n" * 30, "UTC", "'yesterday' is not a time"),
        ("time,temp_c\n2020-01-01 00:00,1\n", "UTC", "fewer than 24"),
    ],
)
def test_what_cannot_be_understood_is_said(tmp_path, text, zone, notes):
    with pytest.raises(ClimateError, match=notes):
        import_csv(written(tmp_path, text), zone)


def test_added_series_run_and_paths_cannot_leave_the_folder(tmp_path):
    table, _ = wave()
    rows = "\n".join(f"{t:%Y-%m-%d %H:%M},{a:.2f}" for t, a in table["air_c"].items())
    written(tmp_path, "time,temp\n" + rows)
    done = overwinter("climate", "add", "hours.csv", "--name", "my-yard", "--zone", "UTC", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "look like °C" in done.stdout
    shown = overwinter("climate", "show", "my-yard", "--chart", "c.png", cwd=tmp_path)
    assert " yes " in shown.stdout
    assert (tmp_path / "c.png").stat().st_size > 5000
    bad = overwinter("climate", "add", "hours.csv", "--name", "../../x", "--zone", "UTC", cwd=tmp_path)
    assert bad.returncode == 2
    assert "is not a name for a weather file" in bad.stderr


@pytest.mark.parametrize("name", ["springfield-il", "golden-co", "newark-nj", "sand-point-ak"])
def test_the_raw_files_give_the_bundled_series(name, monkeypatch, tmp_path):
    if not RAW.is_dir():
        pytest.skip("the raw files of shared/refs/climates are not beside this checkout")
    import runpy

    build = runpy.run_path(str(Path(__file__).resolve().parents[2] / "climates" / "build.py"))
    reader, _ = build["HEADERS"][name]
    raw = reader(RAW).sort_index().dropna(how="all").round(3)
    bundled = load_climate(name).hours
    header = wave()[1]
    again = climate_from(raw, header).hours
    pd.testing.assert_series_equal(
        again["air_c"], bundled["air_c"], check_freq=False, check_names=False, check_index_type=False
    )


def test_stats_of_a_wave_are_those_of_the_wave():
    table, header = wave(hours=8760 * 2)
    climate = climate_from(table, header)
    weather = winters_of(climate, (2019,))
    stats = winter_stats(climate, weather, 10.0)[0]
    air = table["air_c"].loc["2019-10-01":"2020-04-30"]
    assert stats.coldest_hour_c == pytest.approx(air.min(), abs=0.2)
    assert stats.coldest_week_c == pytest.approx(air.rolling(168).mean().min(), abs=0.1)
    assert stats.degree_hours == pytest.approx((10.0 - air).clip(lower=0).sum(), rel=0.01)
    design = design_temperatures(climate, weather)
    assert stats.coldest_hour_c < design["99.6 %"] < design["99 %"]


def test_ten_winters_give_ten_rows(tmp_path, workshop_text):
    table, _ = wave(start="2009-07-01", hours=8766 * 10)
    rows = "\n".join(f"{t:%Y-%m-%dT%H:%MZ},{a:.2f}" for t, a in table["air_c"].items())
    written(tmp_path, "time_utc,air_c\n" + rows)
    plan = workshop_text.replace('series = "springfield-il"', 'file = "hours.csv"')
    (tmp_path / "plan.toml").write_text(plan.split("[[measure]]")[0])
    import json

    done = overwinter("run", "plan.toml", "--samples", "20", "--json", "-", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    winters = answer["climate"]["winters"]
    assert answer["chances"]["winters"] == 10
    assert answer["chances"]["one_in_ten"]["kwh"] <= max(one["kwh"] for one in winters if one["complete"])
    assert len([one for one in winters if one["complete"]]) == 10
    assert all(one["kwh"] > 0 for one in winters if one["complete"])

"""`climate fetch` through the real meteostat, against a server on 127.0.0.1 with files made up here."""

from __future__ import annotations

import contextlib
import gzip
import http.server
import io
import logging
import os
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import meteostat
import numpy as np
import pandas as pd
import pytest
from meteostat.providers.meteostat import hourly as provider

from thermal.climate import bounded_download
from thermal.climate import meteostat_client as archive
from thermal.climate.download import Request, download_series
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate
from thermal.core.file_lock import only_one
from thermal.errors import ClimateError, OverwinterError

YEARS = (2018, 2019, 2020)
YEARS_ASKED = range(2015, 2026)  # by README's own call
NEIGHBOURS = ("NEAR1", "FAR02")


def year_file(year: int, hours: pd.DatetimeIndex | None = None, source: str = "isd_lite") -> bytes:
    """One station-year in the archive's own form: a gzipped CSV with a source beside every value."""
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h") if hours is None else hours
    air = 5 + 12 * np.sin(2 * np.pi * index.day_of_year / 365 - 2) + index.hour / 6
    table = pd.DataFrame({"year": index.year, "month": index.month, "day": index.day, "hour": index.hour})
    for name, values in (("temp", air.round(1)), ("rhum", 80), ("wspd", 10.8)):
        table[name] = values
        table[f"{name}_source"] = source
    return gzip.compress(table.to_csv(index=False).encode())


def station_list() -> bytes:
    """The archive's list of stations: a near one, and one a little further off."""
    connection = sqlite3.connect(":memory:")
    connection.executescript(
        """
        CREATE TABLE stations(
            id TEXT, country TEXT, region TEXT, latitude REAL, longitude REAL, elevation INT, timezone TEXT);
        CREATE TABLE names(station TEXT, language TEXT, name TEXT);
        CREATE TABLE identifiers(station TEXT, key TEXT, value TEXT);
        CREATE TABLE inventory(station TEXT, provider TEXT, parameter TEXT, start TEXT, end TEXT, completeness REAL);
        INSERT INTO stations VALUES
            ('NEAR1','XX','A',50.05,10.0,300,'Europe/Berlin'),('FAR02','XX','A',50.4,10.0,5000,'Europe/Berlin');
        INSERT INTO names VALUES ('NEAR1','en','Nearby Field'),('FAR02','en','Further Field');
        """
    )
    content = connection.serialize()
    connection.close()
    return content


class Shelf(http.server.BaseHTTPRequestHandler):
    """Serves what `files` holds: bytes, a status, a wait in seconds before silence, or in a list one between bytes."""

    files: dict[str, object] = {}  # noqa: RUF012 - one shelf for the module's tests, filled by each

    def do_GET(self):
        held = self.files.get(self.path, 404)
        if isinstance(held, float):
            time.sleep(held)
            return
        self.send_response(held if isinstance(held, int) else 200)
        self.end_headers()
        if isinstance(held, bytes):
            self.wfile.write(held)
        with contextlib.suppress(OSError):  # the other side hangs up
            while isinstance(held, list):  # a byte now and then, without end
                self.wfile.write(b"\x1f" if held else b"")
                time.sleep(held[0])

    def log_message(self, *_):
        pass


@pytest.fixture(scope="module")
def server():
    made = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Shelf)
    threading.Thread(target=made.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{made.server_address[1]}"
    made.shutdown()
    made.server_close()


@pytest.fixture
def shelf(server, tmp_path, monkeypatch):
    """A working archive in an empty working directory; tests spoil it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    monkeypatch.setattr(meteostat.config, "stations_db_endpoints", [f"{server}/stations.db"])
    monkeypatch.setattr(meteostat.config, "stations_db_file", str(tmp_path / "db" / "stations.db"))
    monkeypatch.setattr(meteostat.config, "cache_directory", str(tmp_path / "cache"))
    monkeypatch.setattr(provider, "ENDPOINT", server + "/{year}/{station}.csv.gz")
    files = {f"/{year}/NEAR1.csv.gz": year_file(year) for year in YEARS}
    files |= {f"/{year}/FAR02.csv.gz": year_file(year) for year in YEARS}
    monkeypatch.setattr(Shelf, "files", files | {"/stations.db": station_list()})
    return Shelf.files


def fetch(winters=(2018, 2019), **changes):
    notes = []
    request = Request(50.0, 10.0, changes.get("elevation_m"), winters, "my-town", changes.get("observed_only", False))
    return download_series(request, notes.append, lambda years: years), notes


def nothing_listed():
    return not list(Path("climates").glob("*.toml")) and not list(Path("climates").glob("*.csv.gz"))


def test_winters_come_and_run(shelf):
    path, notes = fetch()
    climate = load_climate("my-town")
    weather = winters_of(climate)
    assert [(one.year, one.complete) for one in weather.winters if one.year in (2018, 2019)] == [
        (2018, True),
        (2019, True),
    ]
    assert climate.hours["wind_m_s"].iloc[100] == pytest.approx(3.0)  # 10.8 km/h
    assert "CC BY 4.0" in climate.header.licence
    assert climate.header.source
    assert "Nearby Field" in notes[0]
    assert path.exists()
    assert not list(Path("climates").glob(".my-town-parts"))


def test_model_hours_are_counted_and_can_be_left_out(shelf):
    shelf["/2019/NEAR1.csv.gz"] = year_file(2019, source="dwd_mosmix")
    _, notes = fetch()
    assert "model output" in notes[-1]
    shelf["/2019/FAR02.csv.gz"] = year_file(2019, source="dwd_mosmix")
    with pytest.raises(ClimateError, match="no station nearby has 95 %"):
        fetch(winters=(2019,), observed_only=True)


def test_a_missing_year_passes_the_station_over(shelf):
    del shelf["/2018/NEAR1.csv.gz"]
    _, notes = fetch(winters=(2018,))
    assert any("Nearby Field" in one and "next station" in one for one in notes)
    assert "Further Field" in notes[-1]


def test_a_failing_half_is_not_passed_off_as_a_winter(shelf):
    shelf["/2019/NEAR1.csv.gz"] = 503
    with pytest.raises(ClimateError, match=r"winter 2018 of Nearby Field could not be downloaded completely"):
        fetch()
    assert nothing_listed()


def test_a_corrupt_file_is_named_and_nothing_is_half_written(shelf):
    shelf["/2018/NEAR1.csv.gz"] = b"<html>please log in</html>"
    with pytest.raises(ClimateError, match="BadGzipFile"):
        fetch()
    assert nothing_listed()


def test_a_truncated_file_is_an_error_too(shelf):
    shelf["/2018/NEAR1.csv.gz"] = shelf["/2018/NEAR1.csv.gz"][:5000]
    with pytest.raises(ClimateError, match="could not be downloaded completely"):
        fetch()


def test_a_silent_server_times_out(shelf, monkeypatch):
    monkeypatch.setattr(archive, "SOCKET_TIMEOUT_S", 0.5)
    shelf["/2018/NEAR1.csv.gz"] = 5.0
    begun = time.monotonic()
    with pytest.raises(ClimateError, match=r"(?i)timed? ?out|TimeoutError|RemoteDisconnected"):
        fetch()
    assert time.monotonic() - begun < 20


def test_a_broken_off_call_goes_on_where_it_stopped(shelf):
    good = shelf["/2020/NEAR1.csv.gz"]
    shelf["/2020/NEAR1.csv.gz"] = 503
    with pytest.raises(ClimateError, match="winter 2019"):
        fetch()
    assert nothing_listed()
    shelf["/2020/NEAR1.csv.gz"] = good
    _, notes = fetch()
    assert notes[0] == "winter 2018: already downloaded"
    assert load_climate("my-town")


def test_no_network_is_said_within_half_a_minute(shelf, monkeypatch):
    monkeypatch.setattr(meteostat.config, "stations_db_endpoints", ["http://127.0.0.1:9/stations.db"])
    begun = time.monotonic()
    with pytest.raises(ClimateError, match="list of stations could not be read"):
        fetch()
    assert time.monotonic() - begun < 30


def test_height_counts_in_the_choice_of_station(shelf):
    near = archive.stations_near(50.0, 10.0)
    assert [one.id for one in near] == ["NEAR1", "FAR02"]
    high = archive.stations_near(50.0, 10.0, elevation_m=5_000.0)
    assert high[0].id == "FAR02"


def test_the_librarys_log_and_settings_are_put_back(shelf):
    before = (logging.getLogger("meteostat").handlers[:], meteostat.config.network_timeout)
    fetch(winters=(2018,))
    assert (logging.getLogger("meteostat").handlers, meteostat.config.network_timeout) == before


def changed(raw: bytes, change) -> bytes:
    """A file of the archive with its table changed."""
    table = pd.read_csv(io.BytesIO(gzip.decompress(raw)))
    return gzip.compress(change(table).to_csv(index=False).encode())


def blanked(table: pd.DataFrame) -> pd.DataFrame:
    """Every 97th hour has neither a temperature nor a source of one."""
    table.loc[::97, "temp"] = np.nan
    table.loc[::97, "temp_source"] = None
    return table


def test_an_hour_without_temperature_and_source_is_counted(shelf):
    """Found with pandas 3: the blank source was a number, and the whole fetch a traceback."""
    for year in (2018, 2019):
        shelf[f"/{year}/NEAR1.csv.gz"] = changed(shelf[f"/{year}/NEAR1.csv.gz"], blanked)
    _, notes = fetch(winters=(2018,))
    assert notes[-1].startswith("winter 2018: 99.0 % of hours from Nearby Field")
    assert notes[-1].endswith("(1 of 1)")
    assert winters_of(load_climate("my-town"), (2018,)).winters[0].complete


def test_a_file_without_temperatures_passes_the_station_over(shelf):
    shelf["/2018/NEAR1.csv.gz"] = changed(shelf["/2018/NEAR1.csv.gz"], lambda table: table.drop(columns="temp"))
    _, notes = fetch(winters=(2018,))
    assert any("Nearby Field" in one and "next station" in one for one in notes)
    assert "Further Field" in notes[-1]


def test_a_file_without_humidity_has_winters_all_the_same(shelf):
    for year in (2018, 2019):
        raw = shelf[f"/{year}/NEAR1.csv.gz"]
        shelf[f"/{year}/NEAR1.csv.gz"] = changed(raw, lambda table: table.drop(columns=["rhum", "rhum_source"]))
    fetch(winters=(2018,))
    assert load_climate("my-town").assumed == ("rh_pct",)


def test_cloud_is_asked_for_and_dew_point_where_the_archive_has_it(shelf):
    for year in (2018, 2019):
        raw = shelf[f"/{year}/NEAR1.csv.gz"]
        shelf[f"/{year}/NEAR1.csv.gz"] = changed(
            raw,
            lambda table: table.assign(
                cldc=6, cldc_source="isd_lite", dwpt=table["temp"] - 3.0, dwpt_source="isd_lite"
            ),
        )
    path, _ = fetch(winters=(2018,))
    hours = pd.read_csv(path).dropna(subset="air_c")
    assert (hours["cloud_okta"] == 6).all()
    np.testing.assert_allclose(hours["dew_c"], hours["air_c"] - 3.0, atol=1e-6)


@pytest.mark.parametrize("name", ["/2018/NEAR1.csv.gz", "/stations.db"])
def test_a_file_that_unpacks_to_more_than_64_mib_is_given_up(shelf, monkeypatch, name):
    monkeypatch.setattr(bounded_download, "LARGEST_BYTES", 1 << 20)
    shelf[name] = gzip.compress(b"year,month,day,hour,temp\n" + b"2018,1,1,0,1.0\n" * 100_000)
    assert len(shelf[name]) < 10_000  # packed, it is small
    with pytest.raises(ClimateError, match="larger than 1 MiB"):
        fetch()
    assert nothing_listed()


@pytest.mark.parametrize("name", ["/2018/NEAR1.csv.gz", "/stations.db"])
def test_a_file_that_comes_byte_by_byte_is_given_up(shelf, monkeypatch, name):
    monkeypatch.setattr(bounded_download, "LONGEST_S", 1.0)
    shelf[name] = [0.2]
    begun = time.monotonic()
    with pytest.raises(ClimateError, match="not complete after 1 s"):
        fetch()
    assert time.monotonic() - begun < 15


def test_one_name_is_fetched_by_one_command_at_a_time(shelf):
    lock = Path("climates") / ".my-town.lock"
    with only_one(lock, "held here"), pytest.raises(OverwinterError, match="already being fetched"):
        fetch()
    assert not lock.exists()
    fetch()
    assert sorted(path.name for path in Path("climates").iterdir()) == ["my-town.csv.gz", "my-town.toml"]


def test_a_lock_ends_with_its_process(tmp_path):
    code = (
        "import os, sys; from pathlib import Path; from thermal.core.file_lock import only_one\n"
        "with only_one(Path(sys.argv[1]), 'busy'): os._exit(9)"
    )
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parent.parent)}
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "lock")], env=environment, check=False)
    assert done.returncode == 9
    assert (tmp_path / "lock").exists()
    with only_one(tmp_path / "lock", "busy"):
        pass
    assert not (tmp_path / "lock").exists()

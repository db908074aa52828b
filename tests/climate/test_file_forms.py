"""Files as loggers, weather stations and databases write them: each is read right or refused, none silently wrong.

The forms are those of tools that growers use, made up here by hand; what they should give is known without the reader.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from thermal.climate.logger_csv import read_logs
from thermal.climate.sensor_table import ReadOptions
from thermal.errors import ClimateError

PLANS = Path(__file__).resolve().parents[2] / "thermal" / "plan" / "examples"

HOURS = pd.date_range("2018-01-31", periods=24 * 15, freq="h")  # ends on a day above 12
WATER = 10.0 + np.round(2.0 * np.sin(np.arange(len(HOURS)) / 9.0), 2)
ROOM = 4.0 + np.round(3.0 * np.sin(np.arange(len(HOURS)) / 11.0), 2)
OUTDOOR = -5.0 + np.round(6.0 * np.sin(np.arange(len(HOURS)) / 7.0), 2)
WATTS = np.where(np.arange(len(HOURS)) % 3 == 0, 300.0, 0.0)


def written(folder: Path, text: str, name: str = "log.csv", encoding: str = "utf-8") -> Path:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


def fahrenheit(celsius: np.ndarray) -> np.ndarray:
    return np.round(celsius * 1.8 + 32.0, 3)


def rows(times, *columns, sep=",", comma=False) -> str:
    """Lines of a table; the numbers with a decimal comma where asked."""
    lines = []
    for time, *values in zip(times, *columns, strict=True):
        cells = [f"{value:g}" for value in values]
        lines.append(sep.join([str(time), *([cell.replace(".", ",") for cell in cells] if comma else cells)]))
    return "\n".join(lines)


def stamps(form: str) -> list[str]:
    return [stamp.strftime(form) for stamp in HOURS]


ISO = stamps("%Y-%m-%d %H:%M")


def same(log, water=WATER, room=ROOM):
    pd.testing.assert_index_equal(log.times, HOURS, check_names=False, exact="equiv")
    if water is not None:
        np.testing.assert_allclose(log.water_c, water, atol=2e-3)
    if room is not None:
        np.testing.assert_allclose(log.room_c, room, atol=2e-3)


def history() -> str:
    """A home automation's history: long form, one row for each change of state, in UTC."""
    lines = ["entity_id,state,last_changed"]
    for name, values in (("sensor.water_temperature", WATER), ("sensor.garage_temperature", ROOM)):
        for stamp, value in zip(HOURS, values, strict=True):
            lines.append(f"{name},{value:g},{stamp:%Y-%m-%dT%H:%M:%S.000Z}")
    lines.insert(40, "sensor.water_temperature,unavailable,2018-02-01T14:30:00.000Z")
    return "\n".join(lines)


def annotated() -> str:
    """An annotated CSV of a time-series database: a table for each sensor."""
    lines = []
    for number, (name, values) in enumerate((("water", WATER), ("garage", ROOM))):
        lines += [
            "#datatype,string,long,dateTime:RFC3339,dateTime:RFC3339,dateTime:RFC3339,double,string,string",
            "#group,false,false,true,true,false,false,true,true",
            "#default,_result,,,,,,,",
            ",result,table,_start,_stop,_time,_value,_measurement,entity_id",
        ]
        lines += [
            f",,{number},2018-01-31T00:00:00Z,2018-02-15T00:00:00Z,{stamp:%Y-%m-%dT%H:%M:%SZ},{value:g},°C,{name}"
            for stamp, value in zip(HOURS, values, strict=True)
        ]
        lines.append("")
    return "\r\n".join(lines)


def german(times, *columns) -> str:
    return rows(times, *columns, sep=";", comma=True)


FOUR = (OUTDOOR, ROOM, WATER, WATTS)
DAY_FIRST = stamps("%d.%m.%Y %H:%M")
EPOCH = [int(stamp.timestamp()) for stamp in HOURS]
USB = (
    '"Plot Title: garage"\n'
    '"#","Date Time, GMT-06:00","Water, °F (LGR S/N: 10, SEN S/N: 1)","Room, °F (LGR S/N: 10, SEN S/N: 2)"\n'
)
TWO = {  # water and room
    "place and unit in brackets": "time,tank temp (C),garage temp (C)\n" + rows(ISO, WATER, ROOM),
    "home automation history": history(),
    "annotated database": annotated(),
    "US dates": "Time,Water (°F),Room (°F)\n" + rows(stamps("%m/%d/%Y %H:%M"), fahrenheit(WATER), fahrenheit(ROOM)),
    "German": "Zeit;Wasser;Raum\n" + german(DAY_FIRST, WATER, ROOM),
    "epoch seconds": "time,water,room\n" + rows(EPOCH, WATER, ROOM),
    "epoch milliseconds": "time,water,room\n" + rows([1000 * second for second in EPOCH], WATER, ROOM),
    "USB logger": USB
    + rows([f"{n},{t}" for n, t in enumerate(stamps("%m/%d/%y %I:%M:%S %p"))], fahrenheit(WATER), fahrenheit(ROOM)),
    "date and time apart": "Date,Time,Water C,Room C\n" + rows(stamps("%d/%m/%Y,%H:%M:%S"), WATER, ROOM),
    "four columns of time": "Year,Month,Day,Hour,water,room\n" + rows(stamps("%Y,%m,%d,%H"), WATER, ROOM),
    "newest first": "time,water,room\n" + rows(ISO[::-1], WATER[::-1], ROOM[::-1]),
    "units in a line below": "Zeit;Becken;Keller\n;°C;°C\n" + german(ISO, WATER, ROOM),
    "units in the cells": "time,water,room\n"
    + re.sub(r"([-\d.]+),([-\d.]+)$", r"\1 °C,\2 °C", rows(ISO, WATER, ROOM), flags=re.M),
    "bars, lines before, trailing bars": "Export\n\nSensors\n\ntime|water|room|\n"
    + rows(ISO, WATER, ROOM, sep="|").replace("\n", "|\n")
    + "|",
    "Fahrenheit without a unit": "time,water,room\n" + rows(ISO, fahrenheit(WATER), fahrenheit(ROOM)),
}
ALL_FOUR = {  # outdoor air and watts too
    "plain": "time,outdoor,room,water,watts\n" + rows(ISO, *FOUR),
    "kilowatts": "time,outside,room,water,Heater kW\n" + rows(ISO, OUTDOOR, ROOM, WATER, WATTS / 1000.0),
    "air inside and outside": "time,Air outside,Air inside,Tank temp,Water heater W\n" + rows(ISO, *FOUR),
    "German with accents": "Datum/Uhrzeit;Außentemp. (°C);Keller °C;Becken [°C];Heizstab W\n"
    + german(DAY_FIRST, *FOUR),
    "French": "Date et heure;Température extérieure (°C);Garage;Eau du bassin;Puissance du chauffage (W)\n"
    + german(stamps("%d/%m/%Y %H:%M"), *FOUR),
    "Spanish": "Fecha;Hora;Temperatura exterior;Temperatura interior;Agua;Potencia del calentador (W)\n"
    + german(stamps("%d/%m/%Y;%H:%M"), *FOUR),
    "Norwegian": "Tid;Ute;Kjeller;Vann;Varmeelement W\n" + german(DAY_FIRST, *FOUR),
    "Swedish": "Tid;Utetemperatur;Källare;Vatten;Effekt (W)\n" + german(ISO, *FOUR),
    "Danish": "Tid;Udetemperatur;Kælder;Vand;Effekt\n" + german(stamps("%d-%m-%Y %H:%M"), *FOUR),
}


@pytest.mark.parametrize("form", [*TWO, *ALL_FOUR])
def test_a_log_of_each_form_is_read_right(tmp_path, form):
    log = read_logs({"": written(tmp_path, (TWO | ALL_FOUR)[form])}, ReadOptions()).log
    same(log)
    if form in ALL_FOUR:
        np.testing.assert_allclose(log.outdoor_c, OUTDOOR, atol=1e-6)
        np.testing.assert_allclose(log.heater_w, WATTS, atol=1e-6)
    else:
        assert log.outdoor_c is None
        assert log.heater_w is None


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_a_log_in_each_encoding_is_read_right(tmp_path, encoding):
    text = ALL_FOUR["German with accents"]
    reading = read_logs({"": written(tmp_path, text, encoding=encoding)}, ReadOptions())
    same(reading.log)
    np.testing.assert_allclose(reading.log.outdoor_c, OUTDOOR, atol=1e-6)


def test_one_file_for_each_sensor(tmp_path):
    """A phone thermometer, a one-channel USB logger, and two files whose columns are all called 'Temperature'."""
    phone = "Timestamp for sample frequency every 15 min,Temperature_Fahrenheit,Relative_Humidity\n" + "\n".join(
        f"{stamp:%Y-%m-%d %H:%M},{value:g},55"
        for hour, warm in zip(HOURS, fahrenheit(ROOM), strict=True)
        for stamp, value in ((hour + pd.Timedelta(minutes=m), warm) for m in (0, 15, 30, 45))
    )
    usb = "No.,Time,Temperature(℃)\n" + rows([f"{n},{t}" for n, t in enumerate(ISO)], WATER)
    reading = read_logs(
        {
            "water_c": written(tmp_path, usb, "a.csv"),
            "room_c": written(tmp_path, phone, "b.csv"),
            "outdoor_c": written(tmp_path, "Zeit;Temperatur °C\n" + rows(ISO, OUTDOOR, sep=";", comma=True), "c.csv"),
            "heater_w": written(tmp_path, "time,power (kW)\n" + rows(ISO, WATTS / 1000), "d.csv"),
        },
        ReadOptions(),
    )
    same(reading.log)
    np.testing.assert_allclose(reading.log.outdoor_c, OUTDOOR)
    np.testing.assert_allclose(reading.log.heater_w, WATTS)
    assert any(re.match(r"a.csv: 'No.' +not used: a count or a name", line) for line in reading.columns)
    assert any(
        "b.csv: 'Relative_Humidity'" in line and "not used: relative humidity" in line for line in reading.columns
    )
    for name in ("a.csv", "b.csv"):
        with pytest.raises(ClimateError, match="neither a water nor a room temperature"):
            read_logs({"": tmp_path / name}, ReadOptions())


def test_two_temperatures_in_the_file_of_one_sensor_are_refused(tmp_path):
    file = written(tmp_path, "time,Temperature 1,Temperature 2\n" + rows(ISO, WATER, ROOM))
    with pytest.raises(ClimateError, match="more than one column may be the water temperature"):
        read_logs({"water_c": file}, ReadOptions())
    log = read_logs({"water_c": file}, ReadOptions(columns={"water": "Temperature 1"})).log
    np.testing.assert_allclose(log.water_c, WATER)


REFUSED_LOGS = {
    "two tanks": ("time,Tank A,Tank B\n" + rows(ISO, WATER, ROOM), "more than one column may be the water temperature"),
    "no unit, room alone": ("time,room\n" + rows(ISO, ROOM + 20.0), "may be in °C or in °F"),
    "degF under C": ("time,water (C)\n" + rows(ISO, fahrenheit(WATER)), "the water would mostly be about 50"),
    "an outdoor column alone": ("time,outdoor C,soil C\n" + rows(ISO, OUTDOOR, ROOM), "neither a water nor a room"),
    "no times": ("a,water\n" + rows(range(len(HOURS)), WATER), "no time among the columns"),
    "no headings": (rows(ISO, WATER, ROOM), "no line of headings .* of a logger, time,water,room"),
    "an archive": ("PK\x03\x04" + "a,b\n1,2\n", "a zip archive or a spreadsheet"),
}  # fmt: skip


@pytest.mark.parametrize("form", REFUSED_LOGS)
def test_an_open_log_is_refused(tmp_path, form):
    text, why = REFUSED_LOGS[form]
    with pytest.raises(ClimateError, match=why):
        read_logs({"": written(tmp_path, text)}, ReadOptions())


def test_the_plans_unit_decides_where_nothing_else_does(tmp_path):
    file = written(tmp_path, "time,room\n" + rows(ISO, ROOM + 20.0))
    np.testing.assert_allclose(read_logs({"": file}, ReadOptions(), None, "degC").log.room_c, ROOM + 20.0)
    np.testing.assert_allclose(
        read_logs({"": file}, ReadOptions(units={"room": "degF"})).log.room_c, (ROOM - 12.0) / 1.8, atol=1e-9
    )


def test_times_in_utc_become_the_standard_time_of_the_place(tmp_path):
    reading = read_logs({"": written(tmp_path, history())}, ReadOptions(), "America/Chicago")
    log = reading.log
    noon = log.times.get_loc(pd.Timestamp("2018-02-05 06:00"))  # 12:00 UTC
    assert log.water_c[noon] == pytest.approx(WATER[HOURS.get_loc(pd.Timestamp("2018-02-05 12:00"))])


def test_watts_that_are_written_on_change_hold_until_the_next_change(tmp_path):
    """Two rows a day: on at 06:30, off at 12:00; the mean of the rows would be 150 W all day."""
    days = pd.date_range("2018-02-01", periods=10, freq="D")
    lines = ["entity_id,state,last_changed"]
    for day in days:
        lines += [
            f"sensor.tank_temperature,{10 + day.day / 10},{day + pd.Timedelta(hours=h):%Y-%m-%dT%H:%M:%SZ}"
            for h in range(24)
        ]
        lines += [
            f"sensor.heater_power,300,{day:%Y-%m-%d}T06:30:00Z",
            f"sensor.heater_power,0,{day:%Y-%m-%d}T12:00:00Z",
        ]
    log = read_logs({"": written(tmp_path, "\n".join(lines))}, ReadOptions()).log
    day = log.heater_w[24:48]
    np.testing.assert_allclose(day, [0.0] * 6 + [150.0] + [300.0] * 5 + [0.0] * 12)


def test_a_log_with_a_gap_is_used_in_its_whole_stretches(tmp_path):
    kept = np.ones(len(HOURS), dtype=bool)
    kept[150:216] = False  # 66 h
    text = "time,outdoor,room,water,watts\n" + "\n".join(
        line for line, keep in zip(rows(ISO, OUTDOOR, ROOM, WATER, WATTS).split("\n"), kept, strict=True) if keep
    )
    reading = read_logs({"": written(tmp_path, text)}, ReadOptions())
    parts = reading.log.stretches()
    assert [(part.start, part.stop) for part in parts] == [(0, 144), (144, 144 + 144)]
    np.testing.assert_allclose(reading.log.water_c, np.concatenate([WATER[:144], WATER[216:]]))
    assert not any("in the log" in note for note in reading.notes)
    alone = read_logs({"": written(tmp_path, TWO["German"])}, ReadOptions()).notes
    assert "no outdoor air temperature in the log: it comes from the plan's weather file" in alone
    assert any("2018-01-31 to 2018-02-05, 2018-02-09 to 2018-02-14" in note for note in reading.notes)

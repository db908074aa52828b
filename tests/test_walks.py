"""Three strangers, each in a terminal, from an empty folder to a report without an unexpected stop (FINDINGS A a to c).

Each command is checked for its exit code, each question for being the one expected, each screen for a traceback.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.cli.test_start_walk import pty, walked
from thermal.api import simulate
from thermal.climate.library import load_climate
from thermal.plan.reader import read_plan

pytestmark = [pytest.mark.no_cover, pytest.mark.skipif(pty is None, reason="no pseudo-terminals on this system")]
HOBBYIST = [
    ("Kind of room", "two-car garage"), ("Weather of your town", "Minneapolis"), ("Size of the room", "24 x 24 x 9 ft"),
    ("Outside walls", "bare"), ("Ceiling", "no"), ("Largest outside door", "not insulated"),
    ("Size of that door", "16x7 ft"), ("Walls shared", "1"), ("Minimum water temperature", "gold fish"),
    ("Plants", ""),
    ("Shape", "rectangular"), ("Size of the tank", "48 in x 40 in"), ("Depth of the water", "275 gal"),
    ("Cover", ""), ("Sump", "none"), ("Number of grow beds", "0"), ("Grow lights", ""), ("Heaters", ""),
    ("Circuits", "15 A 120 V"), ("Currency", ""), ("Price", "$0.17"),
]  # fmt: skip
GROWER = [
    ("Kind of room", "unheated cellar"), ("Weather of your town", "my-cellar"), ("Size of the room", ""),
    ("Outside walls", "stone"), ("Ceiling", ""), ("Largest outside door", ""), ("Size of that door", ""),
    ("Minimum water temperature", "trout"), ("Plants", ""), ("Shape", ""),
    ("Size of the tank", "1,2 m"), ("Depth of the", "0,8 m"),
    ("Cover", ""), ("Sump", ""), ("Number of grow beds", "0"), ("Grow lights", ""), ("Heaters", ""), ("Circuits", ""),
    ("Currency", "SEK"), ("Price", "1,45 kr"),
]  # fmt: skip
ADVISER = """
import pandas as pd
from thermal import answer
rows = [answer(name).to_frame() for name in ("one.toml", "two.toml")]
pd.concat(rows).to_csv("clients.csv")
"""


def stroll(folder: Path, words: str, dialogue: list[tuple[str, str]] | None = None) -> str:
    """The screen of a command in a terminal that ends well, with no question but those expected."""
    code, screen, unexpected = walked(folder, dialogue or [], words)
    assert (code, unexpected) == (0, []), screen
    assert "Traceback" not in screen
    return screen


def test_a_hobbyist_in_us_units(tmp_path):
    """(a) Ten answers once ended in a traceback; the garage came out at half its watts, December was not shown."""
    stroll(tmp_path, "-m thermal start my.toml --units us", HOBBYIST)
    screen = stroll(tmp_path, "-m thermal run my.toml --samples 20")
    assert {path.name for path in tmp_path.iterdir()} == {"my.toml", "reports"}
    assert re.search(r"Dec 20\d\d", screen)
    assert "$" in screen or "USD" in screen
    assert "Next: overwinter compare" in screen
    report = tmp_path / "reports" / "my-minneapolis-mn"
    assert (report / "report.html").as_uri() in screen
    heater = json.loads((report / "answer.json").read_text("utf-8"))["heater"]
    plan = read_plan(tmp_path / "my.toml")
    outside = sum(side.area_m2 for side in plan.room.sides if side.faces == "outdoors")
    assert outside == pytest.approx(3 * 24 * 9 * 0.3048**2, rel=0.01)  # three walls of a garage of 24 x 24 x 9 ft
    assert all(watts <= 1440.0 for watts in heater["buy"])  # 80 % of 15 A at 120 V, NEC 210.20(A)


def german(values) -> list[str]:
    """Numbers with a decimal comma."""
    return [f"{value:.2f}".replace(".", ",") for value in values]


def test_a_grower_with_a_logger(tmp_path, monkeypatch):
    """(b) German headings, day-first dates, cp1252 and a gap of 66 h were refused; a cellar could not be unheated."""
    hours = load_climate("lorraine-fr").hours["air_c"].loc["2010-11-20":"2011-01-05"]
    local = hours.index.tz_convert("Etc/GMT-1").strftime("%d.%m.%Y %H:%M")
    weather = pd.DataFrame({"Datum/Uhrzeit": local, "Außentemp. (°C)": german(hours)})
    weather.to_csv(tmp_path / "wetter.csv", sep=";", index=False, encoding="cp1252")
    screen = stroll(tmp_path, "-m thermal climate add wetter.csv --name my-cellar --zone Etc/GMT-1")
    assert "read as outdoor air temperature" in screen
    stroll(tmp_path, "-m thermal start cellar.toml", GROWER)
    plan = read_plan(tmp_path / "cellar.toml")
    assert plan.power.price == 1.45
    assert plan.keep.species == ("trout",)
    assert plan.room.temperature_c is None
    monkeypatch.chdir(tmp_path)  # where the folder climates is
    truth = simulate(tmp_path / "cellar.toml", 300.0)
    log = pd.DataFrame({
        "Datum/Uhrzeit": truth.index.strftime("%d.%m.%Y %H:%M"), "Außentemp. (°C)": german(truth["outdoor_c"]),
        "Keller °C": german(truth["air_c"]), "Becken [°C]": german(truth["tank_c"]),
        "Heizstab W": german(truth["heater_w"]),
    })  # fmt: skip
    log.drop(index=range(400, 466)).to_csv(tmp_path / "log.csv", sep=";", index=False, encoding="cp1252")
    screen = stroll(tmp_path, "-m thermal fit cellar.toml log.csv")
    assert "Becken" in screen
    screen = stroll(tmp_path, "-m thermal run cellar-fitted.toml --samples 20")
    assert (tmp_path / "reports" / "cellar-fitted-my-cellar" / "report.html").as_uri() in screen


def test_an_adviser_with_pandas(tmp_path):
    """(c) Two plans of one title once shared a report; answers had no table."""
    for name, place in (("one", "basement-metric"), ("two", "basement-metric")):
        stroll(tmp_path, f"-m thermal start {name}.toml --plan {place}")
    (tmp_path / "clients.py").write_text(ADVISER, "utf-8")
    stroll(tmp_path, "clients.py")
    table = pd.read_csv(tmp_path / "clients.csv", index_col="plan")
    assert len(table) == 2
    assert np.isfinite(table[["heater_needed_w", "kwh", "cost"]].to_numpy()).all()
    for name in ("one", "two"):
        stroll(tmp_path, f"-m thermal outage {name}.toml")
    assert len(list((tmp_path / "reports").glob("*/outage-card.html"))) == 2

"""The bundled weather files: small, with their provenance, and as their notes say."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from thermal.climate.dataset import TRUSTED_HOURS, Climate
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import available, load_climate
from thermal.climate.rare_cold import is_reanalysis

FOLDER = Path(__file__).resolve().parents[2] / "climates"
BUNDLED = sorted(path.stem for path in FOLDER.glob("*.toml"))
MARITIME = "sand-point-ak"  # its yearly wave is half of that assumed


def test_the_folder_is_under_a_megabyte_and_a_half():
    assert sum(path.stat().st_size for path in FOLDER.iterdir() if path.is_file()) < 1.5e6


@pytest.mark.parametrize("name", BUNDLED)
def test_each_says_where_it_comes_from(name):
    header = tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))
    assert {"place", "latitude", "longitude", "timezone", "kind", "source", "licence", "processing"} <= header.keys()
    assert name in available()


def test_lorraine_has_twenty_two_winters_of_a_reanalysis():
    """As its note of provenance says: coldest hour -17.2 degC, December to February -0.7 to 3.8 degC."""
    climate = load_climate("lorraine-fr")
    weather = winters_of(climate)
    assert sum(winter.complete for winter in weather.winters) == len(weather.winters) == 22
    assert climate.hours["air_c"].min() == pytest.approx(-17.2, abs=0.06)
    winter = climate.hours["air_c"][climate.hours.index.month.isin((12, 1, 2))]
    means = winter.groupby(winter.index.year + (winter.index.month == 12)).mean()
    assert (means.min(), means.max()) == pytest.approx((-0.7, 3.8), abs=0.06)
    assert is_reanalysis(climate)
    assert climate.assumed == ("rh_pct",)


def test_minneapolis_has_its_two_whole_winters():
    """As its note says: whole winters are 2016 and 2017, coldest hour -29.8 degC."""
    climate = load_climate("minneapolis-mn")
    weather = winters_of(climate)
    assert [winter.label for winter in weather.winters if winter.complete] == ["2016", "2017"]
    assert weather.refused == ()
    assert climate.hours["air_c"].min() == pytest.approx(-29.8, abs=0.06)
    assert climate.hours["air_c"].idxmin().strftime("%Y-%m-%d %H") == "2016-12-18 14"  # 08:00 in Chicago


@pytest.mark.parametrize("months", [(10, 11, 12, 1, 2, 3, 4), (12, 1, 2), (3, 4)])
@pytest.mark.parametrize("name", [name for name in BUNDLED if name != MARITIME])
def test_the_yearly_mean_of_a_short_file_is_within_its_range(name, months):
    """A file cut to some months against the wave fitted to all of it; ±4 degC are in the samples."""
    whole = load_climate(name)
    hours = whole.hours[whole.hours.index.month.isin(months)].iloc[: TRUSTED_HOURS - 1]
    short = Climate(whole.header, hours).harmonic()
    assert whole.harmonic().fitted
    assert not short.fitted
    assert short.mean_c == pytest.approx(whole.harmonic().mean_c, abs=4.3)
    assert np.isfinite(short.amplitude_k)

"""`climate show` says what its design temperatures rest on, and compares them with published ones."""

from __future__ import annotations

import pytest

from tests.report.test_language import faults
from thermal.climate.heating_seasons import winters_of
from thermal.climate.joined_halves import join_halves
from thermal.climate.library import load_climate
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.data.design_temperatures import nearest_design_place
from thermal.report.climate_summary import climate_json
from thermal.report.design_temperature_text import design_sentences


def sentences_of(name: str) -> str:
    climate = join_halves(load_climate(name))
    return " ".join(design_sentences(climate, winters_of(climate), UNIT_SYSTEMS["metric"]))


def test_few_winters_are_said_to_be_few():
    text = sentences_of("springfield-il")
    hours = (3864 + 5088 + 3120) / 5088  # of its three winters, the second one complete
    assert f"from the hours of {hours:.1f} winters (1 complete). That is few" in text
    assert "from one typical year. That is few" in sentences_of("golden-co")
    assert faults(text) == []


def test_published_values_of_the_nearest_place_stand_beside_them():
    text = sentences_of("springfield-il")
    assert "Published for Springfield, Illinois, 5 km away: -20.0 °C (99.6 %) and -16.7 °C (99 %)." in text
    own = climate_json(load_climate("springfield-il"), 10.0)
    warmer = own["design_c"]["99.6 %"] - own["published"]["design_c"]["99.6 %"]
    assert f"This file is {warmer:.1f} °C warmer at 99.6 %." in text
    assert own["design_winters"] == pytest.approx(12072 / 5088)
    assert own["rare_cold"]["outdoor_c"] < own["rare_cold"]["recorded_c"]


@pytest.mark.parametrize(
    ("latitude", "longitude", "elevation_m", "place"),
    [
        (45.0, -93.1, 250.0, "Minneapolis-St Paul, Minnesota"),
        (40.7, -74.2, 5.0, "Philadelphia, Pennsylvania"),
        (40.7, -74.2, 900.0, None),  # too high
        (55.3, -160.5, 7.0, None),  # Sand Point: no place near it
    ],
)
def test_only_a_near_place_is_compared(latitude, longitude, elevation_m, place):
    row = nearest_design_place(latitude, longitude, elevation_m)
    assert (row and row.place) == place


def test_distance_is_that_along_a_great_circle():
    """One degree of latitude is 111.2 km; at 60 degrees north one of longitude is half of that."""
    row = nearest_design_place(44.9, -93.2, 260.0)
    assert row.distance_km(45.9, -93.2) == pytest.approx(111.2, abs=0.1)
    assert row.distance_km(44.9, -93.2) == pytest.approx(0.0, abs=1e-6)

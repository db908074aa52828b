"""What the design temperatures of a weather file rest on, and what is published for the nearest place."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from thermal.climate.dataset import Climate
from thermal.climate.design_conditions import covered_winters, design_temperatures
from thermal.climate.heating_seasons import Weather
from thermal.climate.rare_cold import ENOUGH_WINTERS, rare_cold
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits
from thermal.data.design_temperatures import PublishedDesign, nearest_design_place
from thermal.report.table_data import provenance

MILE_KM = 1.609344
USUAL_DIFFERENCE_K = 2.0  # between editions of the published tables: 1 to 2 K for one city


def design_json(climate: Climate, weather: Weather) -> dict[str, Any]:
    """Design temperatures, the winters behind them, the nearest published ones and the rare cold spell."""
    published, rare = _nearest_place(climate), rare_cold(climate, weather)
    return {
        "design_c": design_temperatures(climate, weather),
        "design_winters": covered_winters(weather),
        "published": published
        and {
            "place": published.place,
            "distance_km": published.distance_km(climate.header.latitude, climate.header.longitude),
            "design_c": published.air_c,
            "source": published.source,
        },
        "rare_cold": rare and asdict(rare),
    }


def design_sentences(climate: Climate, weather: Weather, units: DisplayUnits = UNIT_SYSTEMS["metric"]) -> list[str]:
    """Design temperatures as sentences: what they rest on, how they compare, and what heaters are sized for.

    Parameters
    ----------
    climate : Climate
        The weather file.
    weather : Weather
        Its winters.
    units : DisplayUnits
        Units to show them in.
    """
    own = design_temperatures(climate, weather)
    count = covered_winters(weather)
    complete = sum(winter.complete for winter in weather.winters)
    typical = climate.header.kind == "typical year"
    rests = "one typical year" if typical else f"the hours of {count:.1f} winters ({complete} complete)"
    sentences = [f"Design temperatures: {_design_list(own, units)}, from {rests}."]
    if count < ENOUGH_WINTERS:
        sentences.append("That is few: published values rest on about 25 years, and may be several degrees colder.")
    published = _nearest_place(climate)
    if published is not None:
        sentences.append(_comparison_text(climate, own, published, units))
    rare = rare_cold(climate, weather)
    if rare is not None:
        sentences.append(
            f"Heaters are sized for a cold spell down to {units.text('temperature', rare.outdoor_c)}, about once in 20"
            f" years (coldest hour in this file: {units.text('temperature', rare.recorded_c)}); [climate] coldest_night"
            " in the plan changes that."
        )
    return sentences


def _nearest_place(climate: Climate) -> PublishedDesign | None:
    """Published design temperatures of the nearest place; None where the weather file does not say where it is."""
    header = climate.header
    if not header.has_position:
        return None
    return nearest_design_place(header.latitude, header.longitude, header.elevation_m)


def _comparison_text(climate: Climate, own: dict[str, float], published: PublishedDesign, units: DisplayUnits) -> str:
    """How the design temperatures of a weather file differ from the published ones."""
    difference = own["99.6 %"] - published.air_c["99.6 %"]
    distance = published.distance_km(climate.header.latitude, climate.header.longitude)
    away = f"{distance:.0f} km" if units.name == "metric" else f"{distance / MILE_KM:.0f} miles"
    if abs(difference) < USUAL_DIFFERENCE_K:
        verdict = f"This file agrees within {units.difference(USUAL_DIFFERENCE_K, 0)}, as editions of the tables do."
    else:
        verdict = (
            f"This file is {units.difference(abs(difference))} {'warmer' if difference > 0 else 'colder'} at 99.6 %."
        )
    return (
        f"Published for {published.place}, {away} away: {_design_list(published.air_c, units)}. {verdict}"
        f" Source: {provenance(published.source)}."
    )


def _design_list(design_c: dict[str, float], units: DisplayUnits) -> str:
    """Design temperatures in a row."""
    return " and ".join(f"{units.text('temperature', value)} ({name})" for name, value in design_c.items())

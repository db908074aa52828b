"""The weather file for a town as people write it: a name, a town, or latitude and longitude."""

from __future__ import annotations

import re
from contextlib import suppress

from thermal.errors import ClimateError

SAME_TOWN_KM = 30.0  # a weather file nearer than this counts as the town's own; our judgement
SHOWN = 60  # characters of an answer in a message
POSITION = re.compile(
    r"\s*([-+]?\d{1,2}(?:\.\d+)?)\s*°?\s*([NS]?)\s*[,;\s]\s*([-+]?\d{1,3}(?:\.\d+)?)\s*°?\s*([EW]?)\s*", re.IGNORECASE
)


def weather_file(text: str) -> tuple[str, str, bool]:
    """The weather file for an answer, what to tell the person, and whether it is of another town.

    Parameters
    ----------
    text : str
        The name of a weather file, a town, or latitude and longitude.

    Raises
    ------
    ValueError
        When there is no weather file for it, with what can be done.
    """
    from thermal.climate.library import available

    known = {name.lower(): name for name in available()}
    if text.strip().lower() in known:
        return known[text.strip().lower()], "", False
    if match := POSITION.fullmatch(text):
        return _nearest(match)
    for name, place in _places().items():
        if _is_town(text, name, place):
            return name, f"weather: {place}, the file {name}", False
    names = ", ".join(sorted(known.values()))
    raise ValueError(
        f"there is no weather file for {text[:SHOWN]!r}; write its latitude and longitude, for example 45.0, -93.3: the"
        " nearest file is taken, and moved to your town's monthly means where you give them (as"
        f" `overwinter climate adapt` does); or write one of: {names}; or download your town's first"
        " (`overwinter climate fetch`)"
    )


def _nearest(match: re.Match[str]) -> tuple[str, str, bool]:
    """The nearest weather file to a written position."""
    from thermal.climate.library import nearest_series

    latitude, longitude = float(match[1]), float(match[3])
    latitude = -abs(latitude) if match[2].upper() == "S" else latitude
    longitude = -abs(longitude) if match[4].upper() == "W" else longitude
    if not (-90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 180.0):
        raise ValueError(
            f"{match[0].strip()!r} is no place on Earth; write latitude, longitude, for example 45.0, -93.3"
        )
    nearest = nearest_series(latitude, longitude)
    if nearest is None:
        raise ValueError("no weather file here has a position; write the name of one (`overwinter climate list`)")
    name, far_km = nearest
    note = f"weather: the nearest file is {name}, {far_km:,.0f} km away"
    if far_km > SAME_TOWN_KM:
        note += "; its winters may be warmer or colder than yours, unless your town's monthly means are given"
    return name, note, far_km > SAME_TOWN_KM


def _places() -> dict[str, str]:
    """The place of every weather file, by its name; files whose header cannot be read are left out."""
    from thermal.climate.library import available, read_header

    places = {}
    for name, path in available().items():
        with suppress(ClimateError):
            places[name] = read_header(path).place
    return places


def _is_town(text: str, name: str, place: str) -> bool:
    """Whether a town as written, "Springfield" or "Springfield, IL", is the place of a weather file."""
    town, _, region = (part.strip().lower() for part in text.partition(","))
    if len(town) < 3 or not re.search(rf"\b{re.escape(town)}\b", place.lower()):
        return False
    return not region or region in place.lower() or name.endswith(f"-{region}")

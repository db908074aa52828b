"""What each column of a file is read as, by the words and the unit of its heading; nothing is read by guess."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase

import pandas as pd

from thermal.core.suggest import nearest
from thermal.data.column_words import ColumnUnit, Role, column_roles, column_units, has_word, heading_unit, words_table
from thermal.errors import ClimateError

WEATHER_ROLES = (
    "outdoor_c", "rh_pct", "wind_m_s", "dew_c", "sun_w_m2", "direct_w_m2", "diffuse_w_m2", "infrared_w_m2",
    "cloud_okta",
)  # fmt: skip
LOG_ROLES = ("outdoor_c", "room_c", "water_c", "heater_w")
KINDS = ("temperature", "share", "speed", "irradiance", "cloud", "power")  # tried in this order
SURE, ONLY = 2, 1  # a heading that names the role, and one that is read where it is the only one of its kind
NONE = "none"


@dataclass(frozen=True)
class ColumnUse:
    """What became of a column.

    Attributes
    ----------
    heading : str
        Its heading in the file.
    role : str or None
        Column of the result that it is read as; None where it is not used.
    unit : ColumnUnit or None
        Unit of its values; None where its heading gives none.
    reading : str
        What it is read as, or why it is not used.
    """

    heading: str
    role: str | None
    unit: ColumnUnit | None
    reading: str


@dataclass(frozen=True)
class _Candidate:
    """A column that may have a role, how sure that is, and its unit."""

    heading: str
    role: Role | None
    sure: int
    unit: ColumnUnit | None
    why_not: str = ""


def option_of(role: Role, weather: bool) -> str:
    """Name of a role in `--column` and `--unit`: outdoor air is "air" in a weather file."""
    return "air" if weather and role.name == "outdoor_c" else role.option


def role_of_option(option: str, weather: bool) -> Role:
    """The role that `--column` or `--unit` names.

    Raises
    ------
    ClimateError
        When there is none of that name.
    """
    known = {option_of(role, weather): role for role in _roles(weather)} | {
        role.option: role for role in _roles(weather)
    }
    if option not in known:
        raise ClimateError(
            f"--column {option}=...: {option!r} is not a column that can be read; {nearest(option, known)}"
        )
    return known[option]


def assign_roles(
    cells: pd.DataFrame, times: tuple[str, ...], asked: Mapping[str, str], weather: bool
) -> list[ColumnUse]:
    """What every column is read as.

    Parameters
    ----------
    cells : DataFrame of str
        The columns.
    times : tuple of str
        Headings of the columns that hold the time.
    asked : mapping of str to str
        Headings by the options of roles, as the user says; "none" for a role that is not to be read.
    weather : bool
        True for a weather file, in which columns of a room and of water are never read.

    Returns
    -------
    list of ColumnUse
        One for each column, in the order of the file.

    Raises
    ------
    ClimateError
        When two columns may have one role, or a column that the user names is not there.
    """
    candidates = {
        str(name): _Candidate(str(name), None, 0, None, "time") if name in times else _candidate(str(name), weather)
        for name in cells.columns
    }
    wanted = {
        role_of_option(option, weather).name: existing_heading(heading, cells) for option, heading in asked.items()
    }
    chosen: dict[str, str] = {}
    for role in _roles(weather):
        heading = wanted[role.name] if role.name in wanted else _best(role, candidates, cells, weather)
        if heading is not None and heading != NONE:
            chosen[heading] = role.name
    return [_use(candidates[str(name)], chosen.get(str(name)), times, weather) for name in cells.columns]


def _roles(weather: bool) -> list[Role]:
    """Roles that a weather file or a log has."""
    return [column_roles()[name] for name in (WEATHER_ROLES if weather else LOG_ROLES)]


def existing_heading(heading: str, cells: pd.DataFrame) -> str:
    """A heading as it is in the file, whatever its case; "none" for none.

    Raises
    ------
    ClimateError
        When the file has no such heading.
    """
    by_lower = {str(name).strip().lower(): str(name) for name in cells.columns}
    if heading.strip().lower() == NONE:
        return NONE
    if heading.strip().lower() not in by_lower:
        raise ClimateError(f"--column: no column has the heading {heading!r}; {nearest(heading, by_lower.values())}")
    return by_lower[heading.strip().lower()]


def kind_of(words: str, unit: ColumnUnit | None) -> str:
    """What a column measures: by its unit, else by its words; empty where neither tells."""
    table = words_table()["kind"]
    if unit is not None and unit.kind != "share":
        return unit.kind
    if unit is not None:
        return "cloud" if has_word(words, table["cloud"]) else "share"
    return next((kind for kind in KINDS if has_word(words, table[kind])), "")


def _candidate(heading: str, weather: bool) -> _Candidate:
    """What a heading may be read as, whether the file needs it or not."""
    words, unit = heading_unit(re.sub(r"#\d+$", "", heading))  # the number of a heading that occurs more than once
    kind = kind_of(words, unit)
    if kind == "cloud" and unit is not None and unit.kind == "share":
        unit = column_units()["cloud %"]
    for group in words_table()["unused"]:
        if group.get("kind", kind) == kind and has_word(words, group["words"]):
            return _Candidate(heading, None, 0, unit, group["why"])
    if kind == "other":
        return _Candidate(
            heading, None, 0, unit, f"in {unit.shown}" if unit is not None and unit.shown else "unknown unit"
        )
    for role in column_roles().values():
        temperature_by_place = kind == "" and role.kind == "temperature" and role.name != "dew_c"
        if role.kind != kind and not temperature_by_place and not (kind == "" and role.kind == "power"):
            continue
        sure = _sureness(role, words, kind, weather)
        if sure:
            return _Candidate(heading, role, sure, unit)
    if kind == "temperature":
        return _Candidate(heading, None, 0, unit, "a temperature of something that its heading does not name")
    return _Candidate(heading, None, 0, unit, "its heading does not say what it is")


def _sureness(role: Role, words: str, kind: str, weather: bool) -> int:
    """How sure it is that a heading names a role: `SURE`, `ONLY` or 0."""
    if words in role.exact:
        return SURE
    if (role.must and not has_word(words, role.must)) or has_word(words, role.never):
        return 0
    indoors = has_word(words, column_roles()["room_c"].place) or has_word(words, column_roles()["water_c"].place)
    if has_word(words, role.place + (role.weather if weather and not indoors else ())):
        return SURE
    if has_word(words, () if weather else role.log):
        return ONLY
    if role.kind == "temperature":
        neutral = all(
            any(fnmatchcase(word, pattern) for pattern in words_table()["neutral"]["words"]) for word in words.split()
        )
        return ONLY if kind == "temperature" and weather and role.name == "outdoor_c" and neutral else 0
    return ONLY if kind == role.kind and not indoors else 0


def _best(role: Role, candidates: Mapping[str, _Candidate], cells: pd.DataFrame, weather: bool) -> str | None:
    """The column that has a role; None where none has."""
    same = [item for item in candidates.values() if item.role is not None and item.role.name == role.name]
    sure = max((item.sure for item in same), default=0)
    best = [item.heading for item in same if item.sure == sure and (cells[item.heading] != "").any()]
    if len(best) > 1 and any((cells[best[0]] != cells[other]).any() for other in best[1:]):
        option = option_of(role, weather)
        offers = " or ".join(f'--column {option}="{heading}"' for heading in best[:4])
        names = " and ".join(repr(heading) for heading in best[:4])
        raise ClimateError(f"more than one column may be the {role.shown}: {names}; add {offers}")
    return best[0] if best else None


def _use(item: _Candidate, role: str | None, times: tuple[str, ...], weather: bool) -> ColumnUse:
    """What became of a column."""
    if item.heading in times:
        return ColumnUse(item.heading, "time", None, "time")
    if role is not None:
        shown = column_roles()[role].shown
        return ColumnUse(item.heading, role, item.unit, shown)
    why = item.why_not or (item.role.shown if item.role is not None else "")
    if item.role is not None and item.role in _roles(weather):
        why = f"{why}, but another column is read"
    return ColumnUse(item.heading, None, item.unit, why)

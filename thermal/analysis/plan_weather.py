"""A plan in its weather: the file, shifted to the site or moved to the town, with the sun and sky that it counts."""

from __future__ import annotations

from pathlib import Path

from thermal.analysis.case import SimulationCase, case_in
from thermal.climate.adjustments import at_elevation, at_position
from thermal.climate.dataset import Climate
from thermal.climate.forcing import OutdoorColumns
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.joined_halves import join_halves
from thermal.climate.library import load_climate, read_climate
from thermal.climate.monthly_adaptation import adapt_to_town, town_of
from thermal.climate.sun_and_sky import outdoor_columns
from thermal.plan.model import Plan


def scene_of(plan: Plan, folder: Path | None = None, *, as_dated: bool = False) -> SimulationCase:
    """A plan in its climate, ready to be simulated.

    Parameters
    ----------
    plan, folder, as_dated
        As in `weather_of`, which raises the same errors.
    """
    return case_in(plan, *weather_of(plan, folder, as_dated=as_dated))


def weather_of(plan: Plan, folder: Path | None = None, *, as_dated: bool = False) -> tuple[Climate, Weather]:
    """The climate of a plan, shifted to its site, and its winters side by side.

    Parameters
    ----------
    plan : Plan
        The plan.
    folder : Path, optional
        Folder of the plan, where a relative `[climate] file` is looked for; the current folder where not given.
    as_dated : bool
        Keep the dates of the weather file; otherwise the halves of a single calendar year are put together to a winter.

    Raises
    ------
    ClimateError
        When the weather file cannot be used, or lacks a winter that the plan asks for.
    """
    choice = plan.climate
    climate = read_climate((folder or Path()) / choice.file) if choice.file else load_climate(choice.series)
    if not as_dated and not choice.winters:
        climate = join_halves(climate)
    climate = at_position(climate, choice.position, choice.annual_mean_c)
    if choice.monthly_mean_c:
        climate = adapt_to_town(climate, town_of(choice.monthly_mean_c, choice.record_low_c, choice.site_elevation_m))
    else:
        climate = at_elevation(climate, choice.site_elevation_m)
    return climate, winters_of(climate, choice.winters, _outdoors(plan, climate))


def _outdoors(plan: Plan, climate: Climate) -> OutdoorColumns | None:
    """Sun and sky as the plan wants them; none where its room's air is given, which they do not change."""
    choice = plan.climate
    if plan.room.temperature_c is not None or not (choice.sun or choice.sky):
        return None
    return outdoor_columns(climate, choice.sun, choice.sky)

"""A plan file checked together with its climate, so that every fault of both stands in one list."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from thermal.analysis.plan_weather import weather_of
from thermal.climate.dataset import Climate
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.joined_halves import join_halves
from thermal.climate.library import load_climate, read_climate
from thermal.errors import ClimateError, Fault, PlanError
from thermal.plan.field_types import read_winters
from thermal.plan.line_numbers import with_lines
from thermal.plan.model import Plan
from thermal.plan.reader import document_of, plan_of, plan_text


def read_with_weather(path: Path) -> tuple[Plan, Climate, Weather]:
    """The plan of a file, its climate and its winters.

    Parameters
    ----------
    path : Path
        The plan file. A relative weather file is looked for in its folder.

    Raises
    ------
    PlanError
        With every fault of plan, measures, species, climate and winters, each with its line.
    """
    text, folder = plan_text(path), path.parent
    document = document_of(text, str(path))
    try:
        plan = plan_of(document, str(path))
    except PlanError as fault:
        faults = [*fault.faults, *climate_faults(document, folder)]
        raise PlanError(str(path), with_lines(text, faults)) from None
    try:
        return plan, *weather_of(plan, folder)
    except ClimateError as fault:
        faults = climate_faults(document, folder) or [Fault(f"climate: {fault}", ("climate",))]
        raise PlanError(str(path), with_lines(text, faults)) from fault


def climate_faults(document: dict[str, Any], folder: Path) -> list[str]:
    """Why the weather file of a plan, or the winters asked of it, cannot be used; empty where they can.

    Parameters
    ----------
    document : dict
        The plan file as nested tables, whatever faults it has; its plan need not exist.
    folder : Path
        Folder of the plan.
    """
    table = document.get("climate")
    if not isinstance(table, dict):
        return []
    key = "file" if "file" in table else "series"
    named = table.get(key)
    if not isinstance(named, str) or {"file", "series"} <= table.keys():
        return []  # the plan's own faults say so
    try:
        climate = read_climate(folder / named) if key == "file" else load_climate(named)
    except ClimateError as fault:
        return [Fault(f"climate, {key}: {fault}", ("climate", key))]
    return _winters_faults(table, climate)


def _winters_faults(table: dict[str, Any], climate: Climate) -> list[str]:
    """Why the winters of a plan cannot be simulated."""
    try:
        years = read_winters(table["winters"]) if "winters" in table else ()
    except ValueError:
        return []  # the plan's own faults say so
    try:
        winters_of(climate if years else join_halves(climate), years)
    except ClimateError as fault:
        return [Fault(f"climate, winters: {fault}", ("climate", "winters"))]
    return []

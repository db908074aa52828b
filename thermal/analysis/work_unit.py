"""A unit of work of a table: some plans in one climate, as plain values that any executor can take, and its rows."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from thermal.analysis.table_row import NO, WEEK_H, YES, TableRow
from thermal.analysis.verdict_results import Verdict
from thermal.errors import ClosureError, OverwinterError, PlanError
from thermal.plan.line_numbers import with_lines
from thermal.plan.model import Plan
from thermal.plan.reader import document_of, plan_of, with_settings

ANYWHERE = 101325.0, 10.0, 10.0  # air pressure [Pa], yearly mean and amplitude outdoors: they do not change a shape
OF_ITS_PLACE = ("sun", "sky")  # keys of [climate] that stay where another weather file is set
WEATHER_FILES = (".csv", ".csv.gz")  # ends of their paths; anything else is a name
DIGITS = 4  # behind the point: far more than the figures are known to
Settings = tuple[tuple[str, str], ...]  # keys of the plan file and the values to set, as written


@dataclass(frozen=True)
class Job:
    """One row to answer.

    Attributes
    ----------
    plan : str
        Name that the row shows.
    text : str
        The plan file.
    folder : str
        Folder of the plan file, where a relative weather file is looked for.
    climate : str
        Weather file as the row shows it; empty for the plan's own.
    settings : tuple of (str, str)
        Keys of the plan file and the values to set, as written.
    weather : str
        Name of that weather file, or its whole path; empty for the plan's own.
    key : str
        Hash of all that the row depends on.
    fault : str
        Why the plan file could not be read; empty where it could.
    """

    plan: str
    text: str
    folder: str
    climate: str
    settings: Settings
    weather: str = ""
    key: str = ""
    fault: str = ""

    def document(self) -> dict[str, Any]:
        """The plan file as nested tables, in this climate and with these settings.

        Raises
        ------
        PlanError
            When the file is not TOML, or has no place for a setting.
        """
        if self.fault:
            raise PlanError(self.plan, [self.fault])
        document = dict(document_of(self.text, self.plan))
        if self.weather:
            own = document.get("climate")
            kept = {key: own[key] for key in OF_ITS_PLACE if key in own} if isinstance(own, dict) else {}
            document["climate"] = {**kept, **climate_keys(self.weather)}
        for key, value in self.settings:
            try:
                document = with_settings(document, {key: setting_value(value)})
            except PlanError as fault:
                raise PlanError(self.plan, [f"--set {key}: {text}" for text in fault.faults]) from None
        return document

    def resolve(self) -> Plan:
        """The plan.

        Raises
        ------
        PlanError
            With every fault of the plan.
        """
        document = self.document()
        try:
            return plan_of(document, self.plan)
        except PlanError as fault:
            faults = fault.faults if self.settings else with_lines(self.text, fault.faults)
            raise PlanError(self.plan, faults) from None


@dataclass(frozen=True)
class WorkUnit:
    """Some rows to answer together: plans of one network shape in one climate.

    Attributes
    ----------
    jobs : tuple of Job
        The rows.
    samples, seed : int
        Random samples of each plan, and their seed.
    """

    jobs: tuple[Job, ...]
    samples: int
    seed: int = 0


def climate_keys(weather: str) -> dict[str, str]:
    """What [climate] says for a weather file given by its name or its path."""
    return {"file": weather} if weather.endswith(WEATHER_FILES) else {"series": weather}


def setting_value(text: str) -> object:
    """A value as written: a TOML number, text in quotes, list or true or false, or else the bare text itself."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except (tomllib.TOMLDecodeError, RecursionError):
        return text


def setting_text(settings: Settings) -> str:
    """Settings as a row shows them."""
    return "; ".join(f"{key}={value}" for key, value in settings)


def answer_unit(unit: WorkUnit) -> tuple[TableRow, ...]:
    """The rows of a unit, in its order.

    Parameters
    ----------
    unit : WorkUnit
        The unit. The weather files that it names must be there, also where it is answered by another computer.
    """
    rows: dict[int, TableRow] = {}
    plans: dict[int, Plan] = {}
    for number, job in enumerate(unit.jobs):
        try:
            plans[number] = job.resolve()
        except PlanError as fault:
            rows[number] = fault_row(job, fault.on_one_line())
    by_weather: dict[object, list[int]] = {}
    for number, plan in plans.items():
        folder = unit.jobs[number].folder if plan.climate.file else ""
        by_weather.setdefault((plan.climate, plan.room.temperature_c is None, folder), []).append(number)
    for numbers in by_weather.values():
        rows |= _rows_in_weather(unit, {number: plans[number] for number in numbers})
    return tuple(rows[number] for number in range(len(unit.jobs)))


def fault_row(job: Job, fault: str) -> TableRow:
    """The row of a plan that has no answer."""
    return TableRow(plan=job.plan, climate=job.climate, setting=setting_text(job.settings), fault=fault, key=job.key)


def _rows_in_weather(unit: WorkUnit, plans: dict[int, Plan]) -> dict[int, TableRow]:
    """Rows of plans with the same weather."""
    from thermal.analysis.case import case_in
    from thermal.analysis.lighter_case import without_hours
    from thermal.analysis.plan_weather import weather_of

    first = next(iter(plans))
    try:
        climate, weather = weather_of(plans[first], Path(unit.jobs[first].folder))
        cases = {number: without_hours(case_in(plan, climate, weather)) for number, plan in plans.items()}
    except OverwinterError as fault:
        return {
            number: replace(fault_row(unit.jobs[number], str(fault)), title=plans[number].title) for number in plans
        }
    return _rows_of_cases(unit, cases)


def _rows_of_cases(unit: WorkUnit, cases: dict[int, Any]) -> dict[int, TableRow]:
    """Rows of plans in their weather; where a simulation fails, each is simulated alone."""
    from thermal.analysis.shared_batch import figures_of_plans

    try:
        figures = figures_of_plans(list(cases.values()), unit.samples, unit.seed)
    except ClosureError as fault:
        if len(cases) > 1:
            alone = [_rows_of_cases(unit, {number: case}) for number, case in cases.items()]
            return {number: row for rows in alone for number, row in rows.items()}
        return {
            number: replace(fault_row(unit.jobs[number], str(fault)), title=case.plan.title)
            for number, case in cases.items()
        }
    return {
        number: row_of(unit.jobs[number], figure, unit.samples)
        if not isinstance(figure, OverwinterError)
        else replace(fault_row(unit.jobs[number], str(figure)), title=case.plan.title)
        for (number, case), figure in zip(cases.items(), figures, strict=True)
    }


def row_of(job: Job, figures: Any, samples: int) -> TableRow:
    """The row of a plan from its figures.

    Parameters
    ----------
    job : Job
        What was asked.
    figures : PlanFigures
        The answer.
    samples : int
        Samples behind the bands.
    """
    plan, result, header = figures.case.plan, figures.result, figures.case.climate.header
    weather, season = figures.case.weather, figures.case.season
    bands = figures.uncertainty.bands if figures.uncertainty else {}
    outage_h = WEEK_H if result.outage_h is None else min(result.outage_h, WEEK_H)
    values: dict[str, Any] = {
        "heater_needed_w": result.needed_w, "outage_h": outage_h, "coldest_unheated_c": figures.coldest_unheated_c
    }  # fmt: skip
    if season.complete:
        values |= {"typical_kwh": result.kwh, "typical_cost": result.cost}
    if season.has_median:
        values |= {"worst_kwh": result.worst_kwh, "worst_cost": result.worst_cost}
    for column, band in BANDS.items():
        if band in bands and column in values:
            values |= {f"{column}_low": bands[band].low, f"{column}_high": bands[band].high}
    return TableRow(
        plan=job.plan,
        climate=job.climate or plan.climate.series or plan.climate.file,
        setting=setting_text(job.settings),
        title=plan.title,
        verdict=YES if figures.verdict.ok else NO,
        too_cold=too_cold(figures.verdict),
        buy=heaters_text(figures.buy_w),
        buy_w=float(sum(figures.buy_w)),
        currency=plan.power.currency,
        mould_h=result.mould_h,
        winters=len(weather.winters),
        complete_winters=season.complete,
        samples=samples,
        latitude=header.latitude if header.has_position else None,
        longitude=header.longitude if header.has_position else None,
        key=job.key,
        **{name: round(value, DIGITS) + 0.0 for name, value in values.items()},
    )


BANDS = {  # column of a figure, and its band in `Uncertainty.bands`
    "heater_needed_w": "needed_w", "typical_kwh": "kwh", "typical_cost": "cost", "worst_kwh": "worst_kwh",
    "worst_cost": "worst_cost",
}  # fmt: skip


def too_cold(verdict: Verdict) -> str:
    """Who of a verdict is too cold, such as "water too cold for perch; air too cold for lettuce, kale"."""
    names = {
        "water": [item.name for item in verdict.inhabitants if not item.water_ok],
        "air": [item.name for item in verdict.inhabitants if item.air_ok is False],
    }
    return "; ".join(f"{where} too cold for {', '.join(who)}" for where, who in names.items() if who)


def heaters_text(buy_w: Sequence[float]) -> str:
    """Heaters to buy, such as "2 × 800 W"."""
    return f"{len(buy_w)} × {buy_w[0]:,.0f} W" if buy_w else "nothing"


@lru_cache(maxsize=4096)
def shape_of(text: str, settings: Settings) -> object:
    """What plans must have in common to share a batch, whatever their climate; None for a plan with faults.

    Parameters
    ----------
    text : str
        The plan file.
    settings : tuple of (str, str)
        Keys to set and their values.
    """
    from thermal.analysis.case import topology_key
    from thermal.network.build import build_network

    try:
        plan = Job("", text, "", "", settings).resolve()
    except PlanError:
        return None
    return plan.heater.where, topology_key(build_network(plan, *ANYWHERE))

"""Results as JSON (SI units, ISO 8601 times) and as CSV tables with the unit in each heading."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import pandas as pd

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.analysis.case import INSTALLED, UNHEATED, SimulationCase, hours_of
from thermal.analysis.comparison_results import Alternative, Comparison, Package
from thermal.analysis.results import Outage
from thermal.analysis.winter_energy import paths_of
from thermal.core.json_values import jsonable
from thermal.physics.nitrification import nitrification_share
from thermal.report import comparison_text
from thermal.report.csv_text import csv_text
from thermal.report.question_json import question_json
from thermal.report.uncertainty_text import spread_json

WORST_KEYS = {"winter": "label", "kwh": "kwh", "cost": "cost"}
OF_A_SEASON = (  # null without a complete winter
    "kwh",
    "winter_cost",
    "worst_kwh",
    "worst_cost",
    "saves",
    "payback_winters",
    "cost",
    "house_kwh",
)
OF_A_SEASON_HEAT = ("brought_kwh", "share", "share_low", "share_high", "paid_kwh", "paid_cost")


def assessment_json(assessment: Assessment) -> dict[str, Any]:
    """An assessment as plain values. Users' scripts depend on these keys: keys may be added, none is renamed."""
    season = assessment.season
    design = {
        "at": season.design_at,
        "heater_w": season.design_w,
        "paths_w": season.design_paths_w,
        "room_paths_w": season.design_room_paths_w,
        "in_rare_cold": season.design_in_rare_cold,
    }
    content: dict[str, Any] = jsonable(
        {
            "plan": asdict(assessment.case.plan),
            "climate": _climate_json(assessment),
            "unheated": _unheated_json(assessment),
            "heater": _heater_json(assessment),
            "season": _season_json(assessment),
            "chances": assessment.chances and asdict(assessment.chances),
            "sun_and_sky": assessment.sun_effect and asdict(assessment.sun_effect),
            **question_json(assessment),
            "months": [asdict(month) for month in season.months],
            "design_hour": design,
            "heating_dates": assessment.heating_dates and asdict(assessment.heating_dates),
            "circuit": asdict(assessment.circuit),
            "circuits": [asdict(circuit) for circuit in assessment.heater.circuits],
            "verdict": [asdict(item) for item in assessment.verdict.inhabitants],
            "remedies": [asdict(remedy) for remedy in assessment.verdict.remedies],
            "other_plants": list(assessment.verdict.other_plants),
            "outage": outage_json(assessment.outage),
            "moisture": asdict(assessment.damp),
            "warnings": [asdict(warning) for warning in assessment.warnings],
            "closure": assessment.closure,
        }
    )
    return content


def full_assessment_json(full: FullAssessment) -> dict[str, Any]:
    """Result of `run` as plain values."""
    content: dict[str, Any] = jsonable(
        {
            **assessment_json(full.assessment),
            "packages": packages_json(full.comparison),
            "floors": floors_json(full.comparison),
            "spread": spread_json(full.uncertainty),
        }
    )
    return content


def outage_json(outage: Outage) -> dict[str, Any]:
    """Result of `outage` as plain values, what to do first at the top."""
    return {
        "first": outage.first,
        "hours_to_floor_worst": outage.to_floor.worst,
        "hours_to_floor_tenth": outage.to_floor.tenth,
        "hours_to_floor_median": outage.to_floor.median,
        **asdict(outage),
    }


def _climate_json(assessment: Assessment) -> dict[str, Any]:
    """The weather file, its gaps and its winters."""
    climate = assessment.case.climate
    return {
        **asdict(climate.header),
        "assumed": list(climate.assumed),
        "filled_share": climate.filled_share,
        "winters": [_winter_json(assessment, i) for i in range(len(assessment.season.winter_costs))],
        "refused": list(assessment.case.weather.refused),
        "rare_cold": assessment.case.rare_cold and asdict(assessment.case.rare_cold),
    }


def _unheated_json(assessment: Assessment) -> dict[str, Any]:
    """The water without a heater."""
    return {
        "coldest_water_c": assessment.coldest.coldest_c,
        "coldest_at": assessment.coldest.coldest_at,
        "hours_below_floor": max(winter.hours_below for winter in assessment.unheated),
        "hours_ice": max(winter.hours_ice for winter in assessment.unheated),
        "hours_room_below_0c": max(winter.hours_frozen_room for winter in assessment.unheated),
        "holds": assessment.holds_unheated,
    }


def _heater_json(assessment: Assessment) -> dict[str, Any]:
    """The heaters."""
    heater = assessment.heater
    return {
        "needed_w": heater.needed_w,
        "median_w": _median(assessment, "needed_w"),
        "buy_for_w": heater.buy_for_w,
        "buy_for_samples": heater.samples,
        "thermostat_c": heater.setpoint_c,
        "buy": list(heater.buy_w),
        "installed": list(heater.installed_w),
        "coldest_water_c": heater.coldest_c,
        "hours_below_floor": heater.hours_below,
        "one_failed_coldest_c": heater.one_failed_c,
        "one_circuit_lost_coldest_c": heater.one_circuit_lost_c,
        "stuck_on_c": heater.stuck_on_c,
        "stuck_on_unguarded_c": heater.stuck_on_unguarded_c,
        "peak_duty": heater.peak_duty,
        "reserve": heater.reserve,
    }


def _median(assessment: Assessment, figure: str) -> float | None:
    """Median of a figure over the samples; None without samples."""
    band = assessment.uncertainty.bands.get(figure) if assessment.uncertainty else None
    return band.middle if band else None


def _season_json(assessment: Assessment) -> dict[str, Any]:
    """The typical winter and the worst one: null without a complete winter, and without a second one."""
    season, basis = assessment.season, assessment.case.season
    median, worst = asdict(season.winter_costs[season.median]), asdict(season.winter_costs[season.worst])
    known, has_worst = basis.complete > 0, basis.has_median
    return {
        "winter": median["label"] if known else None,
        **{key: median[key] if known else None for key in ("kwh", "cost")},
        "median_kwh": _median(assessment, "kwh"),
        "median_cost": _median(assessment, "cost"),
        **{key: median[key] if known else None for key in ("other_kwh", "other_cost")},
        "currency": assessment.case.plan.power.currency,
        "worst": {name: worst[key] if has_worst else None for name, key in WORST_KEYS.items()},
        "complete_winters": basis.complete,
        "joined_year": assessment.case.weather.joined_year,
    }


def hourly_csv(assessment: Assessment) -> str:
    """Temperatures [degC] and heater power [W] in every hour of the typical winter, as CSV."""
    case, run, winter = assessment.case, assessment.shown, assessment.season.median
    heated = hours_of(case, run, winter, INSTALLED)
    bare = hours_of(case, run, winter, UNHEATED)
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    columns = {"outdoor_c": heated.outdoor_c}
    for name in case.network.nodes:
        node = case.network.nodes.index(name)
        columns[f"{name}_c"] = heated.end(node, water_nodes)
    columns["tank_unheated_c"] = bare.end(water_nodes[-1], water_nodes)
    columns["heater_w"] = heated.hourly_output.heater_w[:, heated.column]
    return csv_text(pd.DataFrame(columns, index=case.weather.winters[winter].times()).round(3), "local_standard_time")


def monthly_csv(assessment: Assessment) -> str:
    """Heating [kWh], cost and heat by path [kWh] in each month of the typical winter, as CSV."""
    rows = [
        {"month": month.month, "kwh": month.kwh, "cost": month.cost, **month.paths_kwh}
        for month in assessment.season.months
    ]
    return csv_text(pd.DataFrame(rows).set_index("month").round(4), "month")


def paths_csv(assessment: Assessment) -> str:
    """Heat by path in every hour of the typical winter, as CSV. [W]

    Raises
    ------
    ClosureError
        When the paths do not add up to the heater's heat.
    """
    water, _ = paths_of(assessment.case, assessment.shown, assessment.season.median)
    times = assessment.case.weather.winters[assessment.season.median].times()
    return csv_text(
        pd.DataFrame({f"{name} [W]": flow for name, flow in water.items()}, index=times).round(2),
        "local_standard_time",
    )


def _winter_json(assessment: Assessment, index: int) -> dict[str, Any]:
    """One winter."""
    bill, cold, winter = (
        assessment.season.winter_costs[index],
        assessment.unheated[index],
        assessment.case.weather.winters[index],
    )
    return {
        "winter": bill.label,
        "start": winter.start.isoformat(),
        "hours": winter.hours,
        "complete": bill.complete,
        "filled_hours": winter.filled_hours,
        "kwh": bill.kwh if bill.complete else None,
        "cost": bill.cost if bill.complete else None,
        "unheated_coldest_c": cold.coldest_c,
        "unheated_coldest_at": cold.coldest_at,
        "unheated_hours_below_floor": cold.hours_below,
    }


def compare_json(case: SimulationCase, comparison: Comparison) -> dict[str, Any]:
    """Result of `compare` as plain values in SI units.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    comparison : Comparison
        Result of `compare`.

    Returns
    -------
    dict
        Chosen packages are given by their index in "packages", from 0.
    """
    compared, known = comparison.package_comparison, comparison.season.complete > 0
    return {
        "packages": packages_json(comparison),
        "undominated": list(compared.pareto_front),
        "with_owned": compared.with_owned,
        "on_circuit": compared.on_circuit,
        "in_budget": compared.in_budget,
        "ladder": [
            {
                "measure": step.measure,
                "cost": step.cost,
                "saves": step.saves if known else None,
                "needed_w": step.package.result.needed_w,
                "kwh": step.package.result.kwh if known else None,
            }
            for step in compared.ranking
        ],
        "floors": floors_json(comparison),
        "alternatives": [_alternative_json(alternative, known) for alternative in comparison.alternatives],
        "r_needed": None if comparison.insulating is None else asdict(comparison.insulating),
        "warnings": [asdict(warning) for warning in comparison.warnings],
        "currency": case.plan.power.currency,
        "closure": max(package.result.closure for package in compared.packages),
    }


def packages_json(comparison: Comparison) -> list[dict[str, Any]]:
    """Packages as a list of plain values, the plan without measures first."""
    known = comparison.season.complete > 0
    return [_package_json(package, known) for package in comparison.package_comparison.packages]


def _package_json(package: Package, known: bool) -> dict[str, Any]:
    """One package; its seasonal figures are null where no winter is complete."""
    result = vars(package.result)  # plain values: `asdict` would copy each, 7 % of `compare` with 4,096 packages
    figures = {
        "saves": package.saves,
        "payback_winters": package.payback_winters,
        **{key: value for key, value in result.items() if key not in ("cost", "months", "weighted", "drying")},
        "hours_to_floor": package.result.outage_h,
        "winter_cost": package.result.cost,
    }
    months = [{"month": month, "kwh": kwh, "cost": cost} for month, kwh, cost in package.result.months]
    head = {"measures": list(package.measures), "way": package.way or None, "cost": package.cost}
    return {**head, **_without_season(figures, known), "months": months}


def _alternative_json(alternative: Alternative, known: bool) -> dict[str, Any]:
    """One other way; its seasonal figures, and those of its own heat, are null where no winter is complete."""
    figures = _without_season(asdict(alternative), known)
    if alternative.heat is not None:
        figures["heat"] = _without_season(asdict(alternative.heat), known, OF_A_SEASON_HEAT)
    if alternative.drying is not None and not known:
        figures["drying"] = dict.fromkeys(figures["drying"])
    return figures


def _without_season(figures: dict[str, Any], known: bool, names: tuple[str, ...] = OF_A_SEASON) -> dict[str, Any]:
    """Figures with null for those of a season, by their names, unless they are known."""
    return {key: value if known or key not in names else None for key, value in figures.items()}


def floors_json(comparison: Comparison) -> list[dict[str, Any]]:
    """Results at each minimum water temperature as a list of plain values."""
    known = comparison.season.complete > 0
    return [
        {
            "floor_c": step.floor_c,
            "nitrification": float(nitrification_share(step.floor_c)),
            "needed_w": step.result.needed_w,
            "kwh": step.result.kwh if known else None,
            "cost": step.result.cost if known else None,
            "species": list(step.species),
        }
        for step in comparison.floors
    ]


def packages_csv(comparison: Comparison) -> str:
    """All packages as CSV, one row each."""
    known, has_worst = comparison.season.complete > 0, comparison.season.has_median
    rows = [
        {
            "package": comparison_text.package_name(package),
            "price": package.cost,
            "least_heater_w": package.result.needed_w,
            "kwh_median_winter": package.result.kwh if known else None,
            "cost_median_winter": package.result.cost if known else None,
            "kwh_worst_winter": package.result.worst_kwh if has_worst else None,
            "cost_worst_winter": package.result.worst_cost if has_worst else None,
            "peak_w": package.result.peak_w,
            "hours_to_floor": package.result.outage_h,
            "condensation_hours": package.result.condensation_h,
            "mould_hours": package.result.mould_h,
            "payback_winters": package.payback_winters if known else None,
            "nothing_beats_it": index in comparison.package_comparison.pareto_front,
            "other_way": package.way,
        }
        for index, package in enumerate(comparison.package_comparison.packages)
    ]
    return csv_text(pd.DataFrame(rows).round(2))

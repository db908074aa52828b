"""The page and table of `compare`."""

from __future__ import annotations

import io
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pandas as pd

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.results import Comparison, Package
from thermal.core.atomic_write import file_name, write_atomically
from thermal.report import comparison_text, sentences
from thermal.report.html import embed, render
from thermal.report.table_data import provenance


def write_comparison(
    case: SimulationCase, found: Comparison, budget: float | None, pictures: dict[str, bytes], folder: Path
) -> Path:
    """Write page, pictures (from `render_charts`) and the table of all packages; the page's path is returned."""
    place = folder / file_name(case.plan.title)
    for name, picture in pictures.items():
        write_atomically(place / f"{name}.png", picture)
    write_atomically(place / "packages.csv", packages_csv(found))
    return write_atomically(place / "compare.html", page(case, found, budget, pictures))


def page(case: SimulationCase, found: Comparison, budget: float | None, pictures: dict[str, bytes]) -> str:
    """The HTML page."""
    plan = case.plan
    content = {
        "title": plan.title,
        "advice": comparison_text.advice(plan, found),
        "basis": sentences.basis(case),
        "count": len(found.comparison.packages),
        "packages": comparison_text.packages_table(plan, found),
        "choices": comparison_text.choices(plan, found, budget),
        "ladder": comparison_text.ranking_table(plan, found),
        "floors": comparison_text.floors_table(plan, found),
        "floor_sentence": comparison_text.floor_sentence(plan, found),
        "ways": comparison_text.ways_table(plan, found),
        "pump_source": provenance(f"Heat pump: {data.citation('heat_pump')}."),
        "insulating": comparison_text.insulating_table(plan, found),
        "insulating_sentence": comparison_text.insulating_sentence(plan, found),
        "cautions": sentences.CAUTIONS,
        "charts": embed(pictures),
        "alts": comparison_text.alts(plan, found),
    }
    return render("compare.html", content)


def compare_json(case: SimulationCase, found: Comparison) -> dict[str, Any]:
    """Everything `compare` found, in SI; packages are named by their place in the list."""
    comparison = found.comparison
    return {
        "packages": packages_json(comparison.packages),
        "undominated": list(comparison.pareto_front),
        "with_owned": comparison.with_owned,
        "on_circuit": comparison.on_circuit,
        "in_budget": comparison.in_budget,
        "ladder": [
            {
                "measure": step.measure,
                "cost": step.cost,
                "saves": step.saves,
                "needed_w": step.package.result.needed_w,
                "kwh": step.package.result.kwh,
            }
            for step in comparison.ranking
        ],
        "floors": floors_json(found),
        "alternatives": [asdict(one) for one in found.alternatives],
        "r_needed": None if found.insulating is None else asdict(found.insulating),
        "currency": case.plan.power.currency,
        "closure": max(one.result.closure for one in comparison.packages),
    }


def packages_json(packages: tuple[Package, ...]) -> list[dict[str, Any]]:
    """One flat object a package, the bare plan first."""
    return [
        {
            "measures": list(one.measures),
            "cost": one.cost,
            "saves": one.saves,
            "payback_winters": one.payback_winters,
            **{key: value for key, value in asdict(one.result).items() if key not in ("cost", "months", "weighted")},
            "winter_cost": one.result.cost,
            "months": [{"month": month, "kwh": kwh, "cost": cost} for month, kwh, cost in one.result.months],
        }
        for one in packages
    ]


def floors_json(found: Comparison) -> list[dict[str, Any]]:
    """One object for each minimum water temperature."""
    return [
        {
            "floor_c": step.floor_c,
            "needed_w": step.result.needed_w,
            "kwh": step.result.kwh,
            "cost": step.result.cost,
            "species": list(step.species),
        }
        for step in found.floors
    ]


def packages_csv(found: Comparison) -> str:
    """Every package, one row each."""
    rows = [
        {
            "package": comparison_text.package_name(one),
            "price": one.cost,
            "least_heater_w": one.result.needed_w,
            "kwh_median_winter": one.result.kwh,
            "cost_median_winter": one.result.cost,
            "kwh_worst_winter": one.result.worst_kwh,
            "cost_worst_winter": one.result.worst_cost,
            "peak_w": one.result.peak_w,
            "hours_to_floor": one.result.outage_h,
            "condensation_hours": one.result.condensation_h,
            "mould_hours": one.result.mould_h,
            "payback_winters": one.payback_winters,
            "nothing_beats_it": place in found.comparison.pareto_front,
        }
        for place, one in enumerate(found.comparison.packages)
    ]
    text = io.StringIO()
    pd.DataFrame(rows).round(2).to_csv(text, index=False)
    return text.getvalue()

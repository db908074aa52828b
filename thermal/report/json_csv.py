"""An answer as JSON (SI units, ISO 8601 times) and as CSV tables with the unit in each heading."""

from __future__ import annotations

import io
import json
import math
from dataclasses import asdict
from typing import Any

import pandas as pd

from thermal.analysis.assessment import Answer
from thermal.analysis.full_assessment import Whole
from thermal.analysis.power_outage import Outage
from thermal.analysis.winter_energy import INSTALLED, UNHEATED, hours_of, paths_of
from thermal.report.comparison_page import floors_json, packages_json
from thermal.report.uncertainty_text import spread_json


def answer_json(answer: Answer) -> dict[str, Any]:
    """The keys people's scripts depend on, but for packages; more may come, none is renamed."""
    season = answer.season
    design = {"at": season.design_at, "heater_w": season.design_w, "paths_w": season.design_paths_w}
    damp = answer.damp
    found: dict[str, Any] = plain(
        {
            "plan": asdict(answer.scene.plan),
            "climate": _climate_json(answer),
            "unheated": _unheated_json(answer),
            "heater": _heater_json(answer),
            "season": _season_json(answer),
            "months": [asdict(month) for month in season.months],
            "design_hour": design,
            "circuit": asdict(answer.circuit),
            "outage": outage_json(answer.outage),
            "moisture": {
                "condensation_hours": damp.condensation_hours,
                "mould_hours": damp.mould_hours,
                "side": damp.side,
            },
            "warnings": [asdict(one) for one in answer.warnings],
            "closure": answer.closure,
        }
    )
    return found


def whole_json(whole: Whole) -> dict[str, Any]:
    """Everything `run` says."""
    found: dict[str, Any] = plain(
        {
            **answer_json(whole.answer),
            "packages": packages_json(whole.options.comparison.packages),
            "floors": floors_json(whole.options),
            "spread": spread_json(whole.spread),
        }
    )
    return found


def outage_json(outage: Outage) -> dict[str, Any]:
    """The outage answer; oxygen comes first."""
    return {
        "first": outage.first,
        "hours_to_floor_worst": outage.to_floor.worst,
        "hours_to_floor_tenth": outage.to_floor.tenth,
        "hours_to_floor_median": outage.to_floor.median,
        **asdict(outage),
    }


def _climate_json(answer: Answer) -> dict[str, Any]:
    climate = answer.scene.climate
    return {
        **asdict(climate.header),
        "assumed": list(climate.assumed),
        "filled_share": climate.filled_share,
        "winters": [_winter_json(answer, i) for i in range(len(answer.season.bills))],
        "refused": list(answer.scene.weather.refused),
    }


def _unheated_json(answer: Answer) -> dict[str, Any]:
    return {
        "coldest_water_c": answer.coldest.coldest_c,
        "coldest_at": answer.coldest.coldest_at,
        "hours_below_floor": max(one.hours_below for one in answer.unheated),
        "hours_ice": max(one.hours_ice for one in answer.unheated),
        "hours_room_below_0c": max(one.hours_frozen_room for one in answer.unheated),
        "holds": answer.holds_unheated,
    }


def _heater_json(answer: Answer) -> dict[str, Any]:
    heater = answer.heater
    return {
        "needed_w": heater.needed_w,
        "thermostat_c": heater.setpoint_c,
        "buy": list(heater.buy_w),
        "installed": list(heater.installed_w),
        "coldest_water_c": heater.coldest_c,
        "hours_below_floor": heater.hours_below,
        "one_failed_coldest_c": heater.one_failed_c,
        "stuck_on_c": heater.stuck_on_c,
        "peak_duty": heater.peak_duty,
    }


def _season_json(answer: Answer) -> dict[str, Any]:
    season = answer.season
    median, worst = season.bills[season.median], season.bills[season.worst]
    return {
        "winter": median.label,
        "kwh": median.kwh,
        "cost": median.cost,
        "other_kwh": median.other_kwh,
        "other_cost": median.other_cost,
        "currency": answer.scene.plan.power.currency,
        "worst": {"winter": worst.label, "kwh": worst.kwh, "cost": worst.cost},
    }


def plain(value: Any) -> Any:
    """A value of plain JSON types: numpy numbers unwrapped, what is not finite as null."""
    if isinstance(value, dict):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value


def dumped(value: Any) -> str:
    """JSON text."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def hourly_csv(answer: Answer) -> str:
    """Every hour of the median winter: temperatures and heater."""
    scene, run, winter = answer.scene, answer.shown, answer.season.median
    heated = hours_of(scene, run, winter, INSTALLED)
    bare = hours_of(scene, run, winter, UNHEATED)
    lumps = scene.network.vessels.lumps if scene.network.vessels else ()
    columns = {"outdoor_c": heated.outdoor_c}
    for name in scene.network.nodes:
        node = scene.network.nodes.index(name)
        columns[f"{name}_c"] = heated.end(node, lumps)
    columns["tank_unheated_c"] = bare.end(lumps[-1], lumps)
    columns["heater_w"] = heated.trace.heater_w[:, heated.column]
    return _csv(pd.DataFrame(columns, index=scene.weather.winters[winter].times()).round(3), "local_standard_time")


def monthly_csv(answer: Answer) -> str:
    """The months of the median winter with every path's kWh."""
    rows = [
        {"month": month.month, "kwh": month.kwh, "cost": month.cost, **month.paths_kwh}
        for month in answer.season.months
    ]
    return _csv(pd.DataFrame(rows).set_index("month").round(4), "month")


def paths_csv(answer: Answer) -> str:
    """Every hour of the median winter: heat by path, in W."""
    water, _ = paths_of(answer.scene, answer.shown, answer.season.median)
    times = answer.scene.weather.winters[answer.season.median].times()
    return _csv(
        pd.DataFrame({f"{name} [W]": flow for name, flow in water.items()}, index=times).round(2),
        "local_standard_time",
    )


def _csv(table: pd.DataFrame, index: str) -> str:
    text = io.StringIO()
    table.to_csv(text, index_label=index)
    return text.getvalue()


def _winter_json(answer: Answer, i: int) -> dict[str, Any]:
    bill, cold, winter = answer.season.bills[i], answer.unheated[i], answer.scene.weather.winters[i]
    return {
        "winter": bill.label,
        "start": winter.start.isoformat(),
        "hours": winter.hours,
        "complete": bill.complete,
        "filled_hours": winter.filled_hours,
        "kwh": bill.kwh,
        "cost": bill.cost,
        "unheated_coldest_c": cold.coldest_c,
        "unheated_coldest_at": cold.coldest_at,
        "unheated_hours_below_floor": cold.hours_below,
    }

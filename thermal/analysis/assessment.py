"""The whole answer to a plan: does it overwinter, which heater, what it costs, will it be damp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.analysis.advice import AdviceInput
from thermal.analysis.case import UNHEATED, SimulationCase, hours_of
from thermal.analysis.circuit import circuit_check
from thermal.analysis.heater_choice import choose_heater
from thermal.analysis.moisture import moisture_hours
from thermal.analysis.power_outage import power_outage
from thermal.analysis.results import (
    Circuit,
    Comparison,
    HeaterChoice,
    MoistureHours,
    Outage,
    PlanWarning,
    Uncertainty,
    UnheatedWinter,
    WinterEnergy,
)
from thermal.analysis.warnings import plan_warnings
from thermal.analysis.winter_energy import winter_energy
from thermal.solver.results import SimulationResult

AS_COLD_K = 0.005  # no thermometer tells less


@dataclass(frozen=True)
class Assessment:
    """Everything `run` says."""

    case: SimulationCase
    unheated: tuple[UnheatedWinter, ...]
    heater: HeaterChoice
    season: WinterEnergy
    damp: MoistureHours
    circuit: Circuit
    outage: Outage
    warnings: tuple[PlanWarning, ...]
    closure: float
    shown: SimulationResult  # hourly simulation of (unheated, installed, ...)

    @property
    def coldest(self) -> UnheatedWinter:
        """The coldest winter without a heater; of several that freeze, the one with the coldest hour outdoors."""
        return min(self.unheated, key=lambda item: (round(item.coldest_c, 2), item.coldest_outdoors_c))

    @property
    def holds_unheated(self) -> bool:
        """Whether no heater is needed."""
        return self.heater.needed_w == 0.0


@dataclass(frozen=True)
class FullAssessment:
    """Everything `run` says: the plan itself, what could be done instead, and how sure the figures are."""

    assessment: Assessment
    comparison: Comparison
    uncertainty: Uncertainty


def assess(case: SimulationCase) -> Assessment:
    """Run every decision of a plan."""
    heater, shown, sizing_closure = choose_heater(case)
    unheated = tuple(_cold(case, shown, winter) for winter in range(len(case.weather.winters)))
    season = winter_energy(case, shown)
    damp = moisture_hours(case, hours_of(case, shown, season.median))
    circuit = circuit_check(case, heater.installed_w)
    closure = max(sizing_closure, float(shown.closure.max()))
    warnings = plan_warnings(AdviceInput(case, heater, season, shown), damp, circuit.fits)
    outage = power_outage(case, shown)
    return Assessment(case, unheated, heater, season, damp, circuit, outage, warnings, closure, shown)


def _cold(case: SimulationCase, run: SimulationResult, winter: int) -> UnheatedWinter:
    """One winter of the unheated design."""
    hours = hours_of(case, run, winter, UNHEATED)
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    tank = hours.end(water_nodes[-1], water_nodes)
    season = case.weather.winters[winter]
    at = int(np.argmax(tank < tank.min() + AS_COLD_K))
    ice = hours.hourly_output.ice_j[:, -1, hours.column] > 0
    nodes = case.network.nodes
    frozen = hours.mean(nodes.index("air")) < 0 if "air" in nodes else np.zeros(1)
    return UnheatedWinter(
        label=season.label,
        coldest_c=float(tank.min()),
        coldest_at=season.times()[at].isoformat(),
        hours_below=float((tank < case.plan.keep.floor_c).sum()),
        hours_ice=float(ice.sum()),
        hours_frozen_room=float(frozen.sum()),
        coldest_outdoors_c=float(hours.outdoor_c.min()),
    )

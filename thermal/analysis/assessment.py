"""The whole answer to a plan: does it overwinter, which heater, what it costs, will it be damp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal import data
from thermal.analysis.advice import Case
from thermal.analysis.case import Scene
from thermal.analysis.heater_choice import HeaterChoice, chosen_heater
from thermal.analysis.moisture import Damp, damp_of
from thermal.analysis.power_outage import Outage, outage_of
from thermal.analysis.warnings import Notice, notices_of
from thermal.analysis.winter_energy import UNHEATED, Season, hours_of, season_of
from thermal.solver.simulate import Run

AS_COLD_K = 0.005  # no thermometer tells less


@dataclass(frozen=True)
class Cold:
    """One winter without a heater.

    coldest_at is the first hour as cold as that: water that freezes stays at 0 degC for weeks. hours_frozen_room
    count room air below 0 degC, where pipes freeze.
    """

    label: str
    coldest_c: float
    coldest_at: str
    hours_below: float
    hours_ice: float
    hours_frozen_room: float
    coldest_outdoors_c: float


@dataclass(frozen=True)
class Circuit:
    """Whether heater, pump and lights together stay within the continuous share of the circuit."""

    name: str
    limit_w: float | None
    load_w: float
    fits: bool | None
    source: str


@dataclass(frozen=True)
class Answer:
    """Everything `run` says."""

    scene: Scene
    unheated: tuple[Cold, ...]
    heater: HeaterChoice
    season: Season
    damp: Damp
    circuit: Circuit
    outage: Outage
    warnings: tuple[Notice, ...]
    closure: float
    shown: Run  # traced march of (unheated, installed, ...)

    @property
    def coldest(self) -> Cold:
        """The coldest winter without a heater; of several that freeze, the one with the coldest hour outdoors."""
        return min(self.unheated, key=lambda one: (round(one.coldest_c, 2), one.coldest_outdoors_c))

    @property
    def holds_unheated(self) -> bool:
        """Whether no heater is needed."""
        return self.heater.needed_w == 0.0


def answer_of(scene: Scene) -> Answer:
    """Run every decision of a plan."""
    heater, shown, sizing_closure = chosen_heater(scene)
    unheated = tuple(_cold(scene, shown, winter) for winter in range(len(scene.weather.winters)))
    season = season_of(scene, shown)
    damp = damp_of(scene, hours_of(scene, shown, season.median))
    circuit = circuit_of(scene, heater.installed_w)
    closure = max(sizing_closure, float(shown.closure.max()))
    warnings = notices_of(Case(scene, heater, season, shown), damp, circuit.fits)
    outage = outage_of(scene, shown)
    return Answer(scene, unheated, heater, season, damp, circuit, outage, warnings, closure, shown)


def circuit_of(scene: Scene, heaters_w: tuple[float, ...]) -> Circuit:
    """The load on the plan's circuit. Source of the 80 %: NEC 210.20(A), see tables/heaters.toml."""
    power = scene.plan.power
    load = sum(heaters_w) + scene.plan.electric_w
    if power.circuit_w is None:
        return Circuit("", None, load, None, "")
    limit = data.continuous_share() * power.circuit_w
    source = data.citation("nec" if american(power.circuit) else "planning")
    return Circuit(power.circuit, limit, load, load <= limit, source)


def american(circuit: str) -> bool:
    """Whether a circuit's voltage is one of North America's."""
    volts = float(circuit.lower().split("a")[1].strip(" v"))
    return volts in (110.0, 115.0, 120.0, 208.0, 240.0)


def _cold(scene: Scene, run: Run, winter: int) -> Cold:
    """One winter of the unheated design."""
    hours = hours_of(scene, run, winter, UNHEATED)
    lumps = scene.network.vessels.lumps if scene.network.vessels else ()
    tank = hours.end(lumps[-1], lumps)
    season = scene.weather.winters[winter]
    at = int(np.argmax(tank < tank.min() + AS_COLD_K))
    ice = hours.trace.ice_j[:, -1, hours.column] > 0
    nodes = scene.network.nodes
    frozen = hours.mean(nodes.index("air")) < 0 if "air" in nodes else np.zeros(1)
    return Cold(
        label=season.label,
        coldest_c=float(tank.min()),
        coldest_at=season.times()[at].isoformat(),
        hours_below=float((tank < scene.plan.keep.floor_c).sum()),
        hours_ice=float(ice.sum()),
        hours_frozen_room=float(frozen.sum()),
        coldest_outdoors_c=float(hours.outdoor_c.min()),
    )

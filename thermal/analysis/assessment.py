"""The assessment of a plan: how cold unheated water gets, heater, cost, moisture, power outage and warnings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np

from thermal.analysis.advice import AdviceInput
from thermal.analysis.barrel_effect import BarrelEffect, barrel_effect
from thermal.analysis.case import INSTALLED, UNHEATED, SimulationCase, hours_of
from thermal.analysis.circuit_layout import first_circuit
from thermal.analysis.comparison_results import Comparison, Uncertainty
from thermal.analysis.drying import DryingEffect, drying_effect
from thermal.analysis.feeding import Feeding, feeding
from thermal.analysis.frost_heater import heat_air_as_well
from thermal.analysis.frozen_beds import FrozenBeds, frozen_beds
from thermal.analysis.frozen_pipes import FrozenPipe, frozen_pipes
from thermal.analysis.harms import OUTAGE_HARMS
from thermal.analysis.heater_choice import NEEDED, choose_heater
from thermal.analysis.heating_dates import HeatingDates, heating_dates
from thermal.analysis.key_effect import KeyEffect
from thermal.analysis.key_effects import (
    effect_of_key,
    standing_on_the_floor,
    with_hut_air_from_the_room,
    with_sides_in_the_room,
    without_openings,
    without_pauses,
)
from thermal.analysis.lighter_case import in_winters, without_hours
from thermal.analysis.many_winters import Chances, chances
from thermal.analysis.moisture import moisture_hours
from thermal.analysis.night_setback import NightSetback, night_setback
from thermal.analysis.power_outage import power_outage, submit_power_cuts
from thermal.analysis.remedies import first_that_helps, remedy_ladders
from thermal.analysis.results import (
    Circuit,
    HeaterChoice,
    MoistureHours,
    Outage,
    PlanWarning,
    UnheatedWinter,
    WinterEnergy,
)
from thermal.analysis.steady_pump import needed_with_steady_pump
from thermal.analysis.sun_effect import sun_effect
from thermal.analysis.verdict import judge_inhabitants, plants_that_stand
from thermal.analysis.verdict_results import Verdict
from thermal.analysis.warm_up import WarmUp, warm_up
from thermal.analysis.warnings import plan_warnings
from thermal.analysis.winter_energy import winter_energy
from thermal.climate.cold_spells import coldest_winters
from thermal.core.parallel import SerialExecutor
from thermal.solver.results import SimulationResult

AS_COLD_K = 0.005  # above the coldest temperature, no thermometer shows the difference


@dataclass(frozen=True)
class Assessment:
    """The results of assessing one plan.

    Attributes
    ----------
    case : SimulationCase
        The plan and its climate.
    unheated : tuple of UnheatedWinter
        Each winter without a heater.
    heater : HeaterChoice
        The heater needed and installed.
    season : WinterEnergy
        Energy and cost of all winters.
    damp : MoistureHours
        Condensation and mould in the typical winter.
    circuit : Circuit
        The load on the first circuit; `heater.circuits` has all.
    power_cuts : callable
        Gives `outage`, once it is simulated.
    warnings : tuple of PlanWarning
        Every warning that applies.
    closure : float
        Largest error of the energy balance, as a share of the heat exchanged [-].
    shown : SimulationResult
        Simulation of the designs (unheated, installed, needed, one failed, one stuck on), the first three hour by hour.
    judgement : callable
        Gives `verdict`, once the remedies are simulated.
    uncertainty : Uncertainty or None
        The samples that the heaters to buy rest on; None where there are none.
    heating_dates : HeatingDates or None
        When heat is needed; None where it was not worked out.
    without_sun : callable
        Gives `sun_effect`, once it is simulated.
    night_setback : NightSetback or None
        What cooler nights of the house, or of a heated room, change; None where the plan has none.
    opening, pump_duty : KeyEffect or None
        What openings in covers, and pauses of the pump, change; None where the plan has none.
    feeding : Feeding or None
        Bacteria of the filter, and when to stop feeding; None where it was not worked out.
    frozen_pipes : tuple of FrozenPipe
        Each pipe of the plan while the pump is off.
    frozen_beds : FrozenBeds or None
        Beds to which no water flows; None where there are none.
    warm_up : WarmUp or None
        Warming of a newly filled tank; None where it needs none, or where it was not worked out.
    facing_sides : KeyEffect or None
        What sides of tanks and beds that face the house or outdoors change; None where all face the room.
    buried : KeyEffect or None
        What sinking tanks and beds into the floor changes, over standing on it; None where none is sunk.
    barrels : BarrelEffect or None
        What barrels of water in the room change; None where there are none.
    drying : DryingEffect or None
        What a dehumidifier and a fan by humidity do; None where there are none.
    hut_air : KeyEffect or None
        What air of the hut from outdoors or the house changes over air from the room; None where it is from the room.
    """

    case: SimulationCase
    unheated: tuple[UnheatedWinter, ...]
    heater: HeaterChoice
    season: WinterEnergy
    damp: MoistureHours
    circuit: Circuit
    power_cuts: Callable[[], Outage]
    warnings: tuple[PlanWarning, ...]
    closure: float
    shown: SimulationResult
    judgement: Callable[[], Verdict]
    uncertainty: Uncertainty | None = None
    heating_dates: HeatingDates | None = None
    without_sun: Callable[[], KeyEffect | None] = lambda: None
    night_setback: NightSetback | None = None
    opening: KeyEffect | None = None
    pump_duty: KeyEffect | None = None
    warm_up: WarmUp | None = None
    feeding: Feeding | None = None
    frozen_pipes: tuple[FrozenPipe, ...] = ()
    facing_sides: KeyEffect | None = None
    frozen_beds: FrozenBeds | None = None
    buried: KeyEffect | None = None
    barrels: BarrelEffect | None = None
    drying: DryingEffect | None = None
    hut_air: KeyEffect | None = None

    @cached_property
    def outage(self) -> Outage:
        """Power cuts; simulated when first asked for, where no other process does it."""
        in_outage = tuple(warning for warning in self.warnings if warning.code in OUTAGE_HARMS)
        return replace(self.power_cuts(), warnings=in_outage)

    @cached_property
    def verdict(self) -> Verdict:
        """Each animal and plant judged in the coldest winter, with what helps plants whose air is too cold."""
        return self.judgement()

    @cached_property
    def sun_effect(self) -> KeyEffect | None:
        """What sun and sky change; None where neither counts, or it was not worked out."""
        return self.without_sun()

    @cached_property
    def chances(self) -> Chances | None:
        """Typical winter, one in ten and the worst on record; None with fewer than ten complete winters."""
        return chances(self.unheated, self.season)

    @property
    def coldest(self) -> UnheatedWinter:
        """The coldest winter without a heater; of several that freeze, the one with the coldest hour outdoors."""
        return self.unheated[coldest_winter(self.unheated)]

    def middle(self, figure: str, likely: float) -> float:
        """Median of a figure over the samples; its value at the likely inputs where there are no samples.

        Parameters
        ----------
        figure : str
            Name of the figure in `Uncertainty.bands`.
        likely : float
            The figure at the likely inputs, in its unit.
        """
        band = self.uncertainty.bands.get(figure) if self.uncertainty else None
        return band.middle if band else likely

    @property
    def holds_unheated(self) -> bool:
        """Whether no heater is needed."""
        return self.heater.needed_w == 0.0


@dataclass(frozen=True)
class FullAssessment:
    """The results of `run`: the assessment of the plan, with samples, and its comparison with other designs."""

    assessment: Assessment
    comparison: Comparison

    @property
    def uncertainty(self) -> Uncertainty:
        """The samples of the plan."""
        assert self.assessment.uncertainty is not None
        return self.assessment.uncertainty


def assess(
    case: SimulationCase,
    uncertainty: Uncertainty | None = None,
    *,
    remedies: bool = True,
    executor: Executor | None = None,
) -> Assessment:
    """The assessment of a plan.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    uncertainty : Uncertainty, optional
        Samples of the plan, which the heaters to buy rest on.
    remedies : bool
        Simulate what would keep plants warm whose air is too cold, half of the time, and what sun and sky change.
    executor : Executor, optional
        Where remedies, power cuts and the plan without sun are simulated, while the caller goes on until it asks for
        them; without one, this process.

    Raises
    ------
    SizingError
        When no heater keeps the water at its minimum, or other devices would boil it.
    ClosureError
        When a simulation does not conserve energy.
    """
    heater, shown, cold, sizing_closure = choose_heater(case, uncertainty)
    unheated = tuple(_cold(case, shown, winter) for winter in range(len(case.weather.winters)))
    season = winter_energy(case, shown, cold)
    damp = moisture_hours(case, hours_of(case, shown, season.median))
    circuit = first_circuit(case.plan, heater)
    closure = max(sizing_closure, float(shown.closure.max()))
    warnings = plan_warnings(AdviceInput(case, heater, season, shown), damp, needed_with_steady_pump(case))
    pool, coldest = executor or SerialExecutor(), coldest_winter(unheated)
    verdict = _verdict(case, heater, shown, coldest)
    judgement = _find_remedies(case, verdict, season.median, coldest, pool) if remedies else lambda: verdict
    without_sun = pool.submit(sun_effect, without_hours(case), heater, season).result if remedies else lambda: None
    cuts = submit_power_cuts(case, shown, executor) if executor else partial(power_outage, case, shown)
    effect = partial(effect_of_key, case, heater=heater, energy=season)
    return Assessment(
        case, unheated, heater, season, damp, circuit, cuts, warnings, closure, shown, judgement, uncertainty,
        heating_dates=heating_dates(case, shown, heater, season),
        without_sun=without_sun,
        night_setback=night_setback(case, shown, heater, season),
        opening=effect(without_openings(case.plan)),
        pump_duty=effect(without_pauses(case.plan)),
        facing_sides=effect(with_sides_in_the_room(case.plan)),
        buried=effect(standing_on_the_floor(case.plan)),
        hut_air=effect(with_hut_air_from_the_room(case.plan)),
        barrels=barrel_effect(case, shown, heater, season),
        warm_up=warm_up(case, shown, heater, season) if remedies or case.plan.start_c is not None else None,
        feeding=feeding(case, shown, season.median),
        frozen_pipes=frozen_pipes(case, shown),
        frozen_beds=frozen_beds(case, shown),
        drying=drying_effect(case, shown, heater, season, damp),
    )  # fmt: skip


def coldest_winter(unheated: Sequence[UnheatedWinter]) -> int:
    """Index of the coldest winter without a heater; of several that freeze, the one with the coldest hour outdoors."""
    keys = [(round(item.coldest_c, 2), item.coldest_outdoors_c) for item in unheated]
    return keys.index(min(keys))


def _verdict(case: SimulationCase, heater: HeaterChoice, shown: SimulationResult, winter: int) -> Verdict:
    """Each inhabitant judged with the recommended heaters on.

    Where the heaters owned are too small, the heater needed stands for those recommended.
    """
    design = NEEDED if heater.hours_below > 0 else INSTALLED
    return judge_inhabitants(case, hours_of(case, shown, winter, design), winter)


def _find_remedies(
    whole: SimulationCase, verdict: Verdict, typical: int, coldest: int, pool: Executor
) -> Callable[[], Verdict]:
    """What gives the verdict with what helps plants whose air is too cold, its simulation begun.

    Remedies are found in the coldest winters and the typical one.
    """
    cold = verdict.plants_too_cold
    if not cold:
        return lambda: verdict
    winters = sorted({*coldest_winters(whole.weather).tolist(), typical, coldest})
    case, median = without_hours(in_winters(whole, np.array(winters))), winters.index(typical)
    ladders = [pool.submit(first_that_helps, case, ladder, cold, median) for ladder in remedy_ladders(case.plan)]
    futures = [*ladders, pool.submit(heat_air_as_well, case, cold, median)]

    def with_remedies() -> Verdict:
        remedies = [remedy for future in futures if (remedy := future.result()) is not None]
        cheapest_first = tuple(sorted(remedies, key=lambda remedy: remedy.cost))
        return replace(verdict, remedies=cheapest_first, other_plants=plants_that_stand(whole, verdict))

    return with_remedies


def _cold(case: SimulationCase, run: SimulationResult, winter: int) -> UnheatedWinter:
    """One winter of the unheated design."""
    hours = hours_of(case, run, winter, UNHEATED)
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    tank = hours.end(water_nodes[-1], water_nodes)
    season = case.weather.winters[winter]
    coldest_hour = int(np.argmax(tank < tank.min() + AS_COLD_K))
    ice = hours.hourly_output.ice_j[:, -1, hours.column] > 0
    nodes = case.network.nodes
    frozen = hours.mean(nodes.index("air")) < 0 if "air" in nodes else np.zeros(1)
    return UnheatedWinter(
        label=season.label,
        coldest_c=float(tank.min()),
        coldest_at=season.times()[coldest_hour].isoformat(),
        hours_below=float((tank < case.plan.keep.floor_c).sum()),
        hours_ice=float(ice.sum()),
        hours_frozen_room=float(frozen.sum()),
        coldest_outdoors_c=float(hours.outdoor_c.min()),
    )

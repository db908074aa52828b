"""Several plans in the same weather, each with its samples, simulated in batches that they share.

The columns of a batch are all plans of one network topology: each without a heater, with the heaters installed and with
the heater needed, and each of its samples with the heater needed. A column does not depend on the others, so that the
figures are those of a plan simulated alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import Batch, SimulationCase, group_by_topology, hours_of
from thermal.analysis.circuit import fits_no_circuit, supply_of
from thermal.analysis.comparison_results import DesignResult, Uncertainty
from thermal.analysis.design_results import SimulatedDesigns, results_of
from thermal.analysis.heater_choice import BOILING_C, devices_boil_the_water, no_heater_is_enough
from thermal.analysis.heater_sizing import ROUNDING_K, UNLIMITED_W, Sizing, size_heaters, verify_on_winters
from thermal.analysis.heater_units import heaters_to_buy, installed_heaters, watts_to_buy
from thermal.analysis.lighter_case import in_winters
from thermal.analysis.outage_hours import hours_to_minimum, snapshot_rows
from thermal.analysis.uncertainty import WINTER, dimensions, enough_power, sampled_plans, summarise
from thermal.analysis.verdict import judge_inhabitants
from thermal.analysis.verdict_results import Verdict
from thermal.analysis.winter_columns import NO_WINTER, winter_at
from thermal.analysis.winter_totals import price_weights
from thermal.core.arrays import Array
from thermal.core.latin_hypercube import latin_hypercube
from thermal.core.parallel import SerialExecutor
from thermal.errors import SizingError
from thermal.network.model import Control
from thermal.plan.model import Plan, Power
from thermal.solver.results import OutputRequest, SimulationResult
from thermal.solver.simulate import simulate, simulate_parallel

UNHEATED, INSTALLED, NEEDED, KINDS = 0, 1, 2, 3  # columns of a plan as written, one after the other


@dataclass(frozen=True)
class PlanFigures:
    """The figures of one plan in its weather.

    Attributes
    ----------
    case : SimulationCase
        The plan in its weather.
    result : DesignResult
        At the likely inputs.
    uncertainty : Uncertainty or None
        Bands of its samples; None without samples.
    buy_w : tuple of float
        Heaters to buy [W]; empty where none is needed, or those owned are enough.
    verdict : Verdict
        On its inhabitants in the coldest winter.
    coldest_unheated_c : float
        Coldest tank of all winters without a heater [degC].
    """

    case: SimulationCase
    result: DesignResult
    uncertainty: Uncertainty | None
    buy_w: tuple[float, ...]
    verdict: Verdict
    coldest_unheated_c: float


@dataclass(frozen=True)
class _Member:
    """A plan of a batch: its case, its samples of each unknown, and the numbers of its designs in the batch."""

    case: SimulationCase
    hypercube: dict[str, Array]
    base: int
    samples: Array

    @property
    def plan(self) -> Plan:
        """The plan as written."""
        return self.case.plan

    def enough_w(self, sizing: Sizing) -> float | None:
        """Power that is enough in 9 of 10 samples [W]; None without samples."""
        if not self.samples.size:
            return None
        return enough_power(self.hypercube, sizing.needed_w[self.samples], self.plan.fit_spread.residual)

    def heaters(self, sizing: Sizing) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Heaters installed, and heaters to buy. [W]"""
        needed = float(sizing.needed_w[self.base])
        if not np.isfinite(needed):
            return self.plan.heater.units_w, ()
        watts, supply = watts_to_buy(self.plan, needed, self.enough_w(sizing)), supply_of(self.plan)
        installed = installed_heaters(self.plan, watts)
        holds = sum(self.plan.heater.units_w) >= needed and not fits_no_circuit(installed, supply)
        owned_hold = bool(self.plan.heater.units_w) and holds
        return installed, () if owned_hold else heaters_to_buy(watts, supply)


def figures_of_plans(cases: Sequence[SimulationCase], samples: int, seed: int = 0) -> list[PlanFigures | SizingError]:
    """The figures of several plans in the same weather.

    Parameters
    ----------
    cases : sequence of SimulationCase
        Plans with one and the same weather and rare cold spell.
    samples : int
        Random samples of each; 0 for none.
    seed : int
        Seed of the samples.

    Returns
    -------
    list of PlanFigures or SizingError
        In the order of the cases; an error where no heater keeps a plan's water at its minimum.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    figures: dict[int, PlanFigures | SizingError] = {}
    for group in group_by_topology([case.plan for case in cases], cases[0].weather):
        own = [cases[number] for number in group.positions]
        figures |= dict(zip(group.positions.tolist(), _figures_of_group(own, samples, seed), strict=True))
    return [figures[number] for number in range(len(cases))]


def _figures_of_group(cases: list[SimulationCase], samples: int, seed: int) -> list[PlanFigures | SizingError]:
    """The figures of plans of one topology."""
    batch, members = _batch_of(cases, samples, seed)
    sizing = size_heaters(batch, cases[0].design)
    run, margins = _through_winters(batch, members, sizing)
    if (margins < 0).any():
        sizing = verify_on_winters(batch, sizing, margins)
        run, _ = _through_winters(batch, members, sizing)
    verdicts = _verdicts(batch, members, sizing, run)
    outage_h = _outage_hours(batch, members, sizing, run)
    tariffs = _tariffs(members)
    boils = run.warmest_c[: len(members)].max(axis=1) > BOILING_C
    figures: list[PlanFigures | SizingError] = []
    for member, verdict, hours in zip(members, verdicts, outage_h, strict=True):
        if not np.isfinite(sizing.needed_w[member.base]):
            figures.append(no_heater_is_enough(member.plan, float(sizing.setpoint_c[0, member.base])))
        elif boils[member.base]:
            figures.append(devices_boil_the_water(member.plan))
        else:
            own = _own_part(member, sizing, run, (len(members), tariffs.index(member.plan.power)))
            own.outage_h[0] = hours
            figures.append(_member_figures(member, own, member.heaters(sizing)[1], verdict, seed))
    return figures


def _member_figures(
    member: _Member, own: SimulatedDesigns, buy_w: tuple[float, ...], verdict: Verdict, seed: int
) -> PlanFigures:
    """The figures of one plan from its part of a shared simulation."""
    case = member.case
    likely, *sampled = results_of(case, [own])
    uncertainty = summarise(member.plan, member.hypercube, likely, sampled, seed, case.season) if sampled else None
    return PlanFigures(case, likely, uncertainty, buy_w, verdict, float(own.unheated_c[0]))


def _batch_of(cases: list[SimulationCase], samples: int, seed: int) -> tuple[Batch, list[_Member]]:
    """All plans with their samples as one batch; the plans as written come first."""
    plans, members = [case.plan for case in cases], []
    for base, case in enumerate(cases):
        outdoors = "rh_pct" in case.climate.assumed, case.weather.sun_and_sky, not case.weather.harmonic.fitted
        hypercube = latin_hypercube(dimensions(case.plan, *outdoors), samples, seed) if samples else {}
        numbers = np.arange(len(plans), len(plans) + samples)
        members.append(_Member(case, hypercube, base, numbers))
        plans += sampled_plans(case.plan, hypercube, range(samples)) if samples else []
    batches = group_by_topology(plans, cases[0].weather)
    assert len(batches) == 1, "a sample has the topology of its plan"
    return batches[0], members


def _tariffs(members: list[_Member]) -> list[Power]:
    """The different tariffs of some plans, in order."""
    return list(dict.fromkeys(member.plan.power for member in members))


def _through_winters(batch: Batch, members: list[_Member], sizing: Sizing) -> tuple[SimulationResult, Array]:
    """All winters: the plans as written by `KINDS`, then the samples; and how far each design keeps its minimum [K]."""
    count, designs = len(members), len(batch.plans)
    index = np.concatenate([np.tile(np.arange(count), KINDS), np.arange(count, designs)])
    needed = np.where(np.isfinite(sizing.needed_w), sizing.needed_w, UNLIMITED_W)
    installed = np.array([sum(member.heaters(sizing)[0]) for member in members], dtype=float)
    watts = np.concatenate([np.zeros(count), installed, needed])
    cases = {member.plan.power: member.case for member in members}
    prices = np.stack([price_weights(cases[tariff]) for tariff in _tariffs(members)])
    weather = batch.weather
    run = simulate_parallel(
        batch.network.take(index),
        weather.forcing,
        Control(sizing.setpoint_c[:, index], watts, np.zeros(len(watts))),
        batch.floor_c[index],
        request=OutputRequest(weights=prices, damp=True, snapshot_h=snapshot_rows(weather)),
        executor=SerialExecutor(),
    )
    kept = run.coldest_c[NEEDED * count :] - batch.floor_c[:, None] + ROUNDING_K
    return run, np.where(np.isfinite(sizing.needed_w)[:, None], kept, 0.0)


def _verdicts(batch: Batch, members: list[_Member], sizing: Sizing, run: SimulationResult) -> list[Verdict]:
    """The verdict on the inhabitants of each plan in its own coldest winter, with the recommended heaters on.

    Where the heaters owned are too small, the heater needed stands for those recommended.
    """
    count, weather = len(members), batch.weather
    ends = [(weather.row_range(i), i) for i in range(len(weather.winters))]
    outdoors = [float(weather.outdoor_c[rows, i].min()) for rows, i in ends]
    coldest = [_coldest_winter(run.coldest_c[member.base], outdoors) for member in members]
    winters = sorted(set(coldest))
    total = np.array([sum(member.heaters(sizing)[0]) for member in members], dtype=float)
    needed = np.minimum(sizing.needed_w[:count], UNLIMITED_W)
    too_small = (run.hours_below[INSTALLED * count : NEEDED * count].sum(axis=1) > 0) | (total < needed)
    control = Control(sizing.setpoint_c[:, :count], np.where(too_small, needed, total), np.zeros(count))
    part = in_winters(members[0].case, np.array(winters))
    hourly = simulate(
        batch.network.take(np.arange(count)),
        part.forcing,
        control,
        batch.floor_c[:count],
        hourly_output=True,
        request=OutputRequest(hourly=("mean_c", "water_c")),
    )
    return [
        judge_inhabitants(
            in_winters(member.case, np.array(winters)),
            hours_of(part, hourly, winters.index(winter), member.base),
            winters.index(winter),
        )
        for member, winter in zip(members, coldest, strict=True)
    ]


def _coldest_winter(unheated_c: Array, outdoors: list[float]) -> int:
    """Index of the coldest winter without a heater; of several that freeze, the one with the coldest hour outdoors."""
    return min(range(len(outdoors)), key=lambda winter: (round(float(unheated_c[winter]), 2), outdoors[winter]))


def _outage_hours(batch: Batch, members: list[_Member], sizing: Sizing, run: SimulationResult) -> Array:
    """Hours from the worst power cut to the minimum of each plan as written, (plan,). [h]"""
    count = len(members)
    installed = np.array([sum(member.heaters(sizing)[0]) for member in members], dtype=float)
    kept = run.snapshot_c[:, :, INSTALLED * count : NEEDED * count]
    return hours_to_minimum(batch.part(np.arange(count)), sizing.setpoint_c[:, :count], installed, kept)


def _own_part(member: _Member, sizing: Sizing, run: SimulationResult, shape: tuple[int, int]) -> SimulatedDesigns:
    """What one plan with the heaters installed and its samples have of a shared simulation.

    `shape` is the number of plans as written, and the place of this plan's tariff in the weights of the simulation.
    """
    count, tariff = shape
    index = np.concatenate([[member.base], member.samples]).astype(int)
    columns = np.where(index < count, INSTALLED * count, (KINDS - 1) * count) + index
    own = run.take(columns)
    unheated_c = np.full(len(index), np.nan)
    unheated_c[0] = run.coldest_c[UNHEATED * count + member.base].min()
    return SimulatedDesigns(
        plans=(member.plan,) * len(index),
        positions=np.arange(len(index)),
        own_winter=np.concatenate([[NO_WINTER], _winters_of_samples(member)]).astype(int),
        sizing=Sizing(
            sizing.needed_w[index],
            sizing.setpoint_c[:, index],
            sizing.rare_setpoint_c[:, index],
            sizing.closure[index],
        ),
        run=replace(
            own,
            weighted_j=own.weighted_j[tariff : tariff + 1],
            device_weighted_j=own.device_weighted_j[tariff : tariff + 1],
        ),
        unheated_c=unheated_c,
        outage_h=np.full(len(index), np.inf),
        pays_drying=np.zeros(len(index), dtype=bool),
    )


def _winters_of_samples(member: _Member) -> Array:
    """The winter of each sample of a plan, as in a run of the plan alone, (sample,)."""
    return winter_at(member.case.weather, member.hypercube[WINTER]) if member.hypercube else np.zeros(0, dtype=int)

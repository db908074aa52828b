"""A plan set in its climate: everything a decision needs to march it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from thermal.analysis.tariff import cheap_hours
from thermal.climate.dataset import Climate
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.library import load_climate, read_climate
from thermal.core.arrays import Array
from thermal.network.build import build_network, plan_envelope
from thermal.network.envelope import Envelope
from thermal.network.model import Control, Forcing, Network, thermostat
from thermal.plan.model import Plan
from thermal.solver.simulate import SimulationResult, simulate


@dataclass(frozen=True)
class SimulationCase:
    """One plan, its climate, and the network and weather made from them."""

    plan: Plan
    climate: Climate
    weather: Weather
    forcing: Forcing
    network: Network
    envelope: Envelope | None

    def simulate(
        self, control: Control, *, hourly_output: bool = False, network: Network | None = None
    ) -> SimulationResult:
        """March the plan under each of a control's designs."""
        designs = len(control.max_w)
        batch = network or self.network.take(np.zeros(designs, dtype=int))
        return simulate(batch, self.forcing, control, self.plan.keep.floor_c, hourly_output=hourly_output)

    def heaters(self, max_w: Array, min_w: Array | float = 0.0, setpoint_c: float | None = None) -> Control:
        """Thermostats that differ in their watts only; a given setpoint holds all day."""
        watts = np.asarray(max_w, dtype=float)
        if setpoint_c is not None:
            return thermostat(setpoint_c, watts, min_w)
        profile = setpoint_profile(self.plan)
        return replace(thermostat(0.0, watts, min_w), setpoint_c=np.repeat(profile[:, None], len(watts), axis=1))


def setpoint_profile(plan: Plan) -> Array:
    """The water's thermostat at each local hour, higher while power is cheap where the plan says so. [degC]"""
    keep = plan.keep
    if keep.cheap_c is None:
        return np.full(24, keep.thermostat_c)
    return np.where(cheap_hours(plan.power), keep.cheap_c, keep.thermostat_c)


def scene_of(plan: Plan, folder: Path | None = None) -> SimulationCase:
    """A plan in its climate.

    Parameters
    ----------
    folder : Path, optional
        Where a relative `[climate] file` is looked for: the plan's own folder.

    Raises
    ------
    ClimateError
        When the climate cannot be used.
    """
    choice = plan.climate
    climate = read_climate((folder or Path()) / choice.file) if choice.file else load_climate(choice.series)
    climate = climate.at_elevation(choice.site_elevation_m).with_coldest(choice.coldest_night_c)
    weather = winters_of(climate, choice.winters)
    return SimulationCase(
        plan=plan,
        climate=climate,
        weather=weather,
        forcing=weather.forcing,
        network=network_of(plan, weather),
        envelope=plan_envelope(plan, weather.pressure_pa),
    )


def network_of(plan: Plan, weather: Weather) -> Network:
    """A plan's network on the ground of its climate, as a batch of one design."""
    return build_network(plan, weather.pressure_pa, weather.harmonic.mean_c, weather.harmonic.amplitude_k)

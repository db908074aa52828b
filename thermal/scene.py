"""A plan set in its climate: everything a decision needs to march it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from thermal.air import Array
from thermal.assemble import assembled, plan_envelope
from thermal.climate.files import load_climate, read_climate
from thermal.climate.series import Climate
from thermal.climate.winters import Weather, winters_of
from thermal.envelope import Envelope
from thermal.march import Run, march
from thermal.network import Control, Drive, Network, thermostat
from thermal.plan import Plan


@dataclass(frozen=True)
class Scene:
    """One plan, its climate, and the network and weather made from them."""

    plan: Plan
    climate: Climate
    weather: Weather
    drive: Drive
    network: Network
    envelope: Envelope | None

    def march(self, control: Control, *, trace: bool = False, network: Network | None = None) -> Run:
        """March the plan under each of a control's designs."""
        designs = len(control.max_w)
        batch = network or self.network.take(np.zeros(designs, dtype=int))
        return march(batch, self.drive, control, self.plan.keep.floor_c, trace=trace)

    def heaters(self, max_w: Array, min_w: Array | float = 0.0, setpoint_c: float | None = None) -> Control:
        """Thermostats that differ in their watts only."""
        setpoint = self.plan.keep.thermostat_c if setpoint_c is None else setpoint_c
        return thermostat(setpoint, np.asarray(max_w, dtype=float), min_w)


def scene_of(plan: Plan, folder: Path | None = None) -> Scene:
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
    harmonic = weather.harmonic
    return Scene(
        plan=plan,
        climate=climate,
        weather=weather,
        drive=weather.drive,
        network=assembled(plan, weather.pressure_pa, harmonic.mean_c, harmonic.amplitude_k),
        envelope=plan_envelope(plan, weather.pressure_pa),
    )

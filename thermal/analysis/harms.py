"""Harm to people and animals that a plan may do: burners, fast changes of temperature, a heater stuck on, circuits.

Each rule takes what the harms depend on and returns its sentences, or None where they do not apply to the plan.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from thermal.analysis.case import INSTALLED, SimulationCase, WinterHours
from thermal.analysis.circuit import continuous_limit, fits_no_circuit, supply_of
from thermal.analysis.plan_words import MAX_TEMPERATURE_CHANGE_K_PER_DAY, falls_to, names_of
from thermal.analysis.results import CircuitLoad, PlanWarning
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits, limit_text, watts_text

if TYPE_CHECKING:
    from thermal.analysis.advice import AdviceInput

BURNERS = (
    r"kerosene|propane|butane|paraffin|\bgas\b|\blpg\b|diesel|ethanol|alcohol|charcoal|burner|stove|brazier|furnace"
    r"|\bwood fire|fuel|\bcandles?\b|\bgrill\b|generator"
)
SEASONS = "winter", "spring", "summer", "autumn"
# Koi: "five degrees [F] per day", and 10 degF in 18 h does serious harm (koivet.com, Heating Koi Gently).
TOLERATED_SOURCE = "advice of a koi veterinarian, koivet.com"


@dataclass(frozen=True)
class HarmInput:
    """What the harms of a plan depend on.

    Attributes
    ----------
    case : SimulationCase
        The plan and its climate.
    installed_w : tuple of float
        Power of each installed heater [W].
    circuits : tuple of CircuitLoad
        The heaters to buy, or where none are, those installed, on their circuits.
    one_circuit_lost_c, stuck_on_c : float
        Coldest tank with one circuit off, and warmest tank with one heater always on [degC].
    winters : list of WinterHours
        Every winter with the installed heaters.
    """

    case: SimulationCase
    installed_w: tuple[float, ...]
    circuits: tuple[CircuitLoad, ...]
    one_circuit_lost_c: float
    stuck_on_c: float
    winters: list[WinterHours]

    @classmethod
    def of(cls, inputs: AdviceInput) -> HarmInput:
        """Those of an assessment."""
        heater = inputs.heater
        return cls(
            case=inputs.case,
            installed_w=heater.installed_w,
            circuits=heater.circuits,
            one_circuit_lost_c=heater.one_circuit_lost_c,
            stuck_on_c=heater.stuck_on_c,
            winters=inputs.winters(INSTALLED),
        )

    @property
    def units(self) -> DisplayUnits:
        """The units that sentences are written in."""
        return UNIT_SYSTEMS[self.case.plan.units]


def harm_warnings(inputs: HarmInput) -> tuple[PlanWarning, ...]:
    """A warning for each harm that applies.

    Parameters
    ----------
    inputs : HarmInput
        What they depend on.
    """
    sentences = {code: rule(inputs) for code, rule in HARM_RULES.items()}
    return tuple(PlanWarning(code, text, harm=True) for code, text in sentences.items() if text)


def unvented(inputs: HarmInput) -> str | None:
    """Warning of carbon monoxide, where a gain or a measure of the plan burns fuel."""
    if not re.search(BURNERS, names_of(inputs.case.plan)):
        return None
    return (
        "Unvented burners make carbon monoxide, which kills people and animals, and water vapour. Never burn gas,"
        " kerosene, wood or another fuel indoors without a flue, near animals, or while people sleep. Fit a carbon"
        " monoxide alarm."
    )


def fast_change(inputs: HarmInput) -> str | None:
    """Warning of harm to the fish where the water warms or cools faster than they tolerate."""
    tanks = [hours.hourly_output.water_c[:, -1, hours.column] for hours in inputs.winters]
    changes = [tank[24:] - tank[:-24] for tank in tanks]
    winter = max(range(len(changes)), key=lambda i: float(np.abs(changes[i]).max()))
    first = int(np.abs(changes[winter]).argmax())
    change_k = float(changes[winter][first])
    if abs(change_k) <= MAX_TEMPERATURE_CHANGE_K_PER_DAY[1]:
        return None
    units, tank = inputs.units, tanks[winter]
    end = inputs.case.weather.winters[winter].times()[first + 24] + pd.Timedelta("1h")
    when = units.moment(end.isoformat())
    heater = inputs.winters[winter].hourly_output.heater_w[first + 1 : first + 25, inputs.winters[winter].column]
    hourly_k = float(np.abs(np.diff(tank[first : first + 25])).max())
    before, after = (units.text("temperature", float(tank[hour])) for hour in (first, first + 24))
    return (
        f"The water {'warms' if change_k > 0 else 'cools'} from {before} to {after} in the 24 h that end at"
        f" {when}: {units.difference(abs(change_k))} in a day, up to {units.difference(hourly_k)} in an"
        f" hour. {_why(inputs.case, end, float(heater.max()))}Fish tolerate about"
        f" {units.difference(MAX_TEMPERATURE_CHANGE_K_PER_DAY[1], 0)} a day ({TOLERATED_SOURCE}). A lid and insulation"
        " slow the change."
    )


def _why(case: SimulationCase, end: pd.Timestamp, heater_w: float) -> str:
    """A sentence on the season where the heaters are off, or nothing."""
    season = SEASONS[(end.month + (6 if case.climate.south else 0)) % 12 // 3]
    if heater_w > 1.0:
        return ""
    return f"That is {season} weather: the heaters are off, and the water follows the air. "


def stuck_on(inputs: HarmInput) -> str | None:
    """Warning of harm to the fish where one heater that sticks on makes the water too warm."""
    upper_c = inputs.case.plan.keep.upper_c
    if not inputs.installed_w or inputs.stuck_on_c <= upper_c:
        return None
    warmest, upper = (inputs.units.text("temperature", celsius) for celsius in (inputs.stuck_on_c, upper_c))
    return (
        f"If a heater sticks on, the water warms to {warmest}, above the limit of {upper}. Fit an independent"
        " over-temperature cut-out, or smaller heaters."
    )


def one_circuit(inputs: HarmInput) -> str | None:
    """Warning of harm to the fish where heat and air are behind one protected circuit."""
    plan = inputs.case.plan
    if not plan.power.circuit or not inputs.installed_w or not inputs.circuits[0].heaters_w:
        return None
    return (
        "A false trip of the RCD/GFCI stops heat and air together. If one circuit stays off, the water falls to"
        f" {falls_to(plan, inputs.one_circuit_lost_c)}. Fit a power-loss alarm, and put the air pump and the heaters"
        " on separate protected circuits."
    )


def overloaded_circuits(inputs: HarmInput) -> str | None:
    """Warning that the circuits of the plan cannot carry heaters, pump and lights."""
    plan, circuits = inputs.case.plan, inputs.circuits
    supply = supply_of(plan)
    limit, first = limit_text(continuous_limit(supply.largest)), circuits[0]
    texts = []
    if fits_no_circuit(plan.heater.units_w, supply):
        texts.append(
            f"Your heater of {max(plan.heater.units_w):,.0f} W is too large: a {supply.largest} circuit may carry"
            f" {limit} for hours, and another circuit of this kind does not help. Use smaller heaters."
        )
    if supply.free_w[0] < 0:
        texts.append(
            f"Pump, lights and other devices take {watts_text(supply.other_w)}, more than the first circuit"
            f" ({first.breaker}) may carry for hours, {limit_text(first.limit_w)}. Move some to another circuit."
        )
    further = sum(not circuit.given for circuit in circuits) - supply.assumed
    if further > 0:
        noun = "circuit" if further == 1 else "circuits"
        here = "the one assumed" if supply.assumed else f"the {len(supply.circuits)} that the plan gives"
        texts.append(
            f"The heaters need {further} more {supply.largest} {noun}, beside {here}. Write what you have as [power]"
            " circuit, ask an electrician for more, or insulate, so that less heat is needed."
        )
    return " ".join(texts) or None


HARM_RULES: dict[str, Callable[[HarmInput], str | None]] = {
    "unvented": unvented,
    "fast-change": fast_change,
    "one-circuit": one_circuit,
    "stuck-on": stuck_on,
    "circuit": overloaded_circuits,
}
OUTAGE_HARMS = ("unvented", "one-circuit")  # codes of those that matter in a power cut

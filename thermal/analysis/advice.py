"""Advice on common misconceptions about heating water, and warnings of harm, where a plan seems to call for them.

Each rule takes the parts of an answer and returns its sentences, or None where they do not apply to the plan.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from thermal.analysis.case import INSTALLED, UNHEATED, SimulationCase, WinterHours, hours_of
from thermal.analysis.plan_words import falls_to, names_of
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.core.display_units import UNIT_SYSTEMS, US_GALLON_M3, DisplayUnits, percent_text, watts_text
from thermal.physics.constants import RHO_WATER
from thermal.physics.infiltration import air_change_conductance
from thermal.solver.results import SimulationResult

RULE_LIFT_K = 8.3  # 15 degF, assumed by the watts-per-gallon rule (refs growers.md)
INSULATED_R = 0.5  # m2K/W, from which walls count as insulated
OPEN_EVAPORATION = 0.8  # share of open-water evaporation from which a top counts as open
WIDE_SURFACE_M2 = 2.0  # uncovered water from which a surface counts as large
ODD_AIR_CHANGES = 5.0  # per hour
SMALL_DOOR_SHARE = 0.35  # of the room's heat loss


@dataclass(frozen=True)
class AdviceInput:
    """The parts of an answer that advice depends on.

    Attributes
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater needed and installed.
    season : WinterEnergy
        Energy of all winters.
    shown : SimulationResult
        Hourly simulation of the designs (unheated, installed, ...).
    """

    case: SimulationCase
    heater: HeaterChoice
    season: WinterEnergy
    shown: SimulationResult

    @property
    def units(self) -> DisplayUnits:
        """The units that sentences are written in."""
        return UNIT_SYSTEMS[self.case.plan.units]

    def degrees(self, celsius: float) -> str:
        """A temperature [degC] as text in the units of the plan."""
        return self.units.text("temperature", celsius)

    def falls_to(self, celsius: float) -> str:
        """How far water cools [degC] as text: to a temperature, to "just below" the minimum, or until it freezes."""
        return falls_to(self.case.plan, celsius)

    @property
    def names(self) -> str:
        """Names of gains and measures, in lower case."""
        return names_of(self.case.plan)

    @property
    def lift_k(self) -> float:
        """Difference between the minimum water temperature and the coldest air round the water. [K]"""
        room = self.case.network.room_air
        if room is None or room.node is None:
            return self.case.plan.keep.floor_c - min(self.case.plan.room.given_by_hour_c)
        coldest = min(float(hours.mean(room.node).min()) for hours in self.winters(UNHEATED))
        return self.case.plan.keep.floor_c - coldest

    def winters(self, design: int) -> list[WinterHours]:
        """Every winter of one design of `shown`, each without the hours padded after its end."""
        return [hours_of(self.case, self.shown, i, design) for i in range(len(self.case.weather.winters))]


def bigger_heater(inputs: AdviceInput) -> str | None:
    """Advice that a bigger heater does not cost more to run, where the heaters exceed the power needed."""
    total = sum(inputs.heater.installed_w)
    if inputs.heater.needed_w <= 0 or total < 1.4 * inputs.heater.needed_w:
        return None
    return (
        f"Heaters of {watts_text(total)} are more than the {watts_text(inputs.heater.needed_w)} needed. A bigger heater"
        " does not cost more to run: you pay for the heat that the water loses."
    )


def watts_per_volume(inputs: AdviceInput) -> str | None:
    """Advice on the rule of so many watts per gallon, where the room is colder than the rule assumes."""
    if inputs.heater.needed_w <= 0 or inputs.lift_k <= RULE_LIFT_K:
        return None
    gallons = inputs.case.plan.water_m3 / US_GALLON_M3
    rule = gallons * (5.0 if gallons <= 55 else 3.0)
    return (
        f"The rule of 3 to 5 W per US gallon gives {watts_text(rule)}. It assumes a room about"
        f" {inputs.units.difference(RULE_LIFT_K, 0)} colder than the water; yours gets"
        f" {inputs.units.difference(inputs.lift_k, 0)} colder, so {watts_text(inputs.heater.needed_w)} is needed."
    )


def open_top(inputs: AdviceInput) -> str | None:
    """Advice to cover the water first, where a tank has insulated walls and an open top."""
    tanks = [vessel for vessel in inputs.case.plan.tanks if vessel.wall_r_m2k_per_w >= INSULATED_R]
    if not any(vessel.evaporation >= OPEN_EVAPORATION and vessel.lid_r_m2k_per_w == 0 for vessel in tanks):
        return None
    return (
        "The tank's walls are insulated but its top is open. A lid now saves more heat than the same area of foam on"
        " the walls."
    )


def level_loss(inputs: AdviceInput) -> str | None:
    """Advice to look for a leak, where more water is added than can evaporate."""
    claimed = inputs.case.plan.top_off_m3_s * RHO_WATER * 86400.0
    if claimed <= 0:
        return None
    hourly = [
        hours.hourly_output.evaporation_kg_s[:, :, hours.column].sum(axis=1) for hours in inputs.winters(INSTALLED)
    ]
    daily = max(float(flow.reshape(-1, 24).mean(axis=1).max()) for flow in hourly) * 86400.0
    if claimed < 1.5 * daily:
        return None
    topped, most = (inputs.units.text("volume", kg / RHO_WATER, 0) for kg in (claimed, daily))
    return (
        f"You top up {topped} a day, but no more than about {most} a day evaporates (all of it would take"
        f" {watts_text(claimed * 2.47e6 / 86400)} of heat). Look for a leak."
    )


def door_label(inputs: AdviceInput) -> str | None:
    """Advice to use a third of the label's R-value, where a door has the R-value of its panels."""
    doors = [side for side in inputs.case.plan.room.sides if "door" in side.name.lower()]
    if not any(re.match(r"(?i)\s*r", door.build) and door.r_m2k_per_w > 0.7 for door in doors):
        return None
    return (
        "The R-value on a sectional door's label is that of its panels. With edges, joints and leaks the whole door has"
        " about a third of it (22 to 46 % in trade summaries). Write a third of it into the plan."
    )


def door_alone(inputs: AdviceInput) -> str | None:
    """Advice to insulate other parts too, where measures change a door that is a small part of the room's loss."""
    envelope = inputs.case.envelope
    if envelope is None:
        return None
    doors = {side.name for side in envelope.sides if "door" in side.name.lower()}
    changed = any(name in key for measure in inputs.case.plan.measures for key in measure.set for name in doors)
    ua = sum(side.ua_w_per_k for side in envelope.sides)
    total = ua + float(air_change_conductance(envelope.mean_change_kg_s)) + envelope.floor_steady
    share = sum(side.ua_w_per_k for side in envelope.sides if side.name in doors) / total
    if not changed or share >= SMALL_DOOR_SHARE:
        return None
    return (
        f"Only {percent_text(share)} of the room's heat loss is through the door. Insulate other parts too;"
        " `overwinter check` lists the loss of each."
    )


def same_efficiency(inputs: AdviceInput) -> str | None:
    """Advice that a room heater is as efficient as a water heater, where the room is heated."""
    if inputs.case.plan.heater.where != "room":
        return None
    return (
        "A room heater is as efficient as a water heater: both turn every watt into heat. They differ in which surfaces"
        " lose that heat."
    )


def heat_pump(inputs: AdviceInput) -> str | None:
    """Advice on the output of a heat pump in the cold, where the plan names one."""
    if "heat pump" not in inputs.names:
        return None
    return (
        "A heat pump gives less heat the colder it is outside, and it ices up. Ask for its output at the temperature of"
        " your coldest night."
    )


def pump_off(inputs: AdviceInput) -> str | None:
    """Advice that stopping the pump at night only delays the heat loss, where it stops."""
    plan = inputs.case.plan
    if not plan.beds or min(plan.pump.hours) > 0 or max(plan.pump.hours) <= 0:
        return None
    return (
        "Stopping the pump at night only delays the heat loss: the first flood in the morning brings the cold of the"
        " beds into the tank, and the heater must make up for it at once."
    )


def bare_bottom(inputs: AdviceInput) -> str | None:
    """Advice to put foam under the tank, where its bare bottom loses much heat to the slab."""
    loss = inputs.season.design_paths_w.get("tank bottom", 0.0)
    bare = any(vessel.base == "slab" and vessel.base_r_m2k_per_w < 0.2 for vessel in inputs.case.plan.tanks)
    if not bare or inputs.season.design_w <= 0 or loss < 0.08 * inputs.season.design_w:
        return None
    return (
        f"At peak heat demand the tank loses {watts_text(loss)} through its bare bottom to the colder slab. Put foam"
        " under it."
    )


def insulated_bottom(inputs: AdviceInput) -> str | None:
    """Advice to compare without foam under the tank, where no heater is needed."""
    if inputs.heater.needed_w > 0 or not any(
        vessel.base == "slab" and vessel.base_r_m2k_per_w >= INSULATED_R for vessel in inputs.case.plan.tanks
    ):
        return None
    return "Unheated water is warmed by the ground, and foam under the tank can stop that. Compare it without the foam."


def wide_surface(inputs: AdviceInput) -> str | None:
    """Advice to cover the water, where large water surfaces are uncovered."""
    vessels = [vessel for vessel in inputs.case.plan.tanks + inputs.case.plan.beds if vessel.lid_r_m2k_per_w < 0.1]
    surface = sum(vessel.surface_m2 for vessel in vessels)
    if surface < WIDE_SURFACE_M2:
        return None
    return (
        f"Heat loss goes with the water's surface, not its volume, and {inputs.units.text('area', surface)} of it is"
        " uncovered. Cover it."
    )


def deicer(inputs: AdviceInput) -> str | None:
    """Advice that a de-icer does not keep a temperature, where the plan names one."""
    if not re.search(r"de-?icer", inputs.names):
        return None
    return (
        "A de-icer only keeps a hole in the ice open, and often takes less power than its label says. Use a heater with"
        " a thermostat to keep a temperature."
    )


def air_is_not_water(inputs: AdviceInput) -> str | None:
    """Advice that water stays warmer than the coldest air and has no wind chill, where the difference is large."""
    outdoors = float(inputs.case.weather.outdoor_c.min())
    water = float(inputs.shown.coldest_c[0].min())
    if water < outdoors + 15.0:
        return None
    air, reached = (inputs.units.text("temperature", value, 0) for value in (outdoors, max(water, 0.0)))
    return (
        f"At {air} outdoors the water gets no colder than {reached}, even without a heater. Wind chill does not apply"
        " indoors."
    )


def odd_air_change(inputs: AdviceInput) -> str | None:
    """Advice to check the air changes, where there are more than a room has."""
    changes = inputs.case.plan.room.mean_air_changes_per_h
    if inputs.case.envelope is None or changes <= ODD_AIR_CHANGES:
        return None
    return (
        f"A room with {changes:g} air changes an hour is as open as a barn: check air_changes. A formula with 0.22"
        " BTU/h for each cubic foot and °F is twelve times too high; 0.018 is right."
    )


def catalogue_foam(inputs: AdviceInput) -> str | None:
    """Advice to check the R-value of foam, where the insulation is written as an R-value."""
    if not any(re.search(r"(?i)\br(si)?\s*-\s*\d", text) for text in _insulations(inputs.case)):
        return None
    return (
        "The R-value you typed is used as given. 50 mm (2 in) of common foam has RSI-1.5 (R-8.6); catalogue values"
        " twice as high include more than the foam."
    )


def _insulations(case: SimulationCase) -> list[str]:
    """Insulation of every tank and bed, as written in the plan."""
    return [vessel.insulation for vessel in case.plan.tanks + case.plan.beds]


ADVICE_RULES: dict[str, Callable[[AdviceInput], str | None]] = {
    "bigger-heater": bigger_heater,
    "watts-per-volume": watts_per_volume,
    "open-top": open_top,
    "level-loss": level_loss,
    "door-label": door_label,
    "door-alone": door_alone,
    "same-efficiency": same_efficiency,
    "heat-pump": heat_pump,
    "pump-off": pump_off,
    "bare-bottom": bare_bottom,
    "insulated-bottom": insulated_bottom,
    "wide-surface": wide_surface,
    "deicer": deicer,
    "air-is-not-water": air_is_not_water,
    "odd-air-change": odd_air_change,
    "catalogue-foam": catalogue_foam,
}

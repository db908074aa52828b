"""Sentences shared by terminal and page: the verdict, the basis, and the cautions."""

from __future__ import annotations

from thermal.decisions.answer import Answer
from thermal.scene import Scene
from thermal.units import SHOWN, Shown

CAUTIONS = (
    "Electricity beside water can kill: RCD/GFCI on every circuit, drip loops, sockets above the rim, no extension"
    " cords. Local codes and a licensed electrician decide.",
    "Heaters fully under water, guarded, switched off before the tank is drained; an independent over-temperature"
    " cut-out and an alarm.",
    "A heater is a continuous load: at most 80 % of its circuit.",
    "Oxygen runs out before the cold does when the power fails: keep air and flow going first.",
)


def shown_units(answer: Answer) -> Shown:
    """The unit system the plan asks for."""
    return SHOWN[answer.scene.plan.units]


def verdict(answer: Answer) -> str:
    """The answer in one or two sentences."""
    units, plan, heater = shown_units(answer), answer.scene.plan, answer.heater
    floor = units.text("temperature", plan.keep.floor_c, 0)
    coldest = answer.coldest
    day = coldest.coldest_at[:10]
    if answer.holds_unheated:
        low = units.text("temperature", coldest.coldest_c)
        return f"Overwinters without a heater: the coldest water is {low} (on {day}), above the floor of {floor}."
    how = f"for {coldest.hours_below:.0f} h of winter {coldest.label}"
    unheated = f"Without a heater the water falls below {floor} {how}" + (", and freezes" if coldest.hours_ice else "")
    if heater.hours_below > 0:
        return (
            f"Not with what you own: {_units(heater.installed_w)} leaves the water at"
            f" {units.text('temperature', heater.coldest_c)};"
            f" {_round_w(heater.needed_w)} W is the least that holds {floor}."
        )
    median = answer.season.bills[answer.season.median]
    money = f"{median.cost:,.0f} {plan.power.currency}"
    return (
        f"Overwinters with {_units(heater.installed_w)} in the {plan.heater.where}: at least"
        f" {_round_w(heater.needed_w)} W"
        f" holds {floor}, about {median.kwh:,.0f} kWh or {money} a winter. {unheated}."
    )


def _units(watts: tuple[float, ...]) -> str:
    if not watts:
        return "no heater"
    if len(set(watts)) == 1:
        return f"{len(watts)} × {watts[0]:.0f} W"
    return " + ".join(f"{one:.0f} W" for one in watts)


def _round_w(watts: float) -> str:
    """Watts to the ten: more digits than that are not known."""
    return f"{round(watts, -1):,.0f}"


def basis(scene: Scene) -> str:
    """What the figures rest on."""
    climate, weather = scene.climate, scene.weather
    whole = sum(winter.complete for winter in weather.winters)
    filled = sum(winter.filled_hours for winter in weather.winters)
    total = sum(winter.hours for winter in weather.winters)
    return (
        f"{climate.header.place or climate.header.name}: {len(weather.winters)} winter(s), {whole} complete,"
        f" {filled / total:.1%} of hours filled in. Evaporation is known to about ±20 %, presets to less."
    )


def cautions(answer: Answer) -> tuple[str, ...]:
    """Safety, short and for this plan."""
    plan, room = answer.scene.plan, answer.scene.plan.room
    said = list(CAUTIONS)
    if answer.heater.needed_w > 0:
        said.append("No unvented gas or kerosene indoors: it makes carbon monoxide, and as much water as it burns.")
    if room.temperature_c is None and any(one.hours_frozen_room for one in answer.unheated):
        said.append("The room itself freezes: drain or heat idle pipes, and keep water moving in the rest.")
    if plan.keep.species:
        said.append(f"Change the temperature of {plan.keep.species[0]} by no more than 1-3 K a day (from memory).")
    return tuple(said)


def assumptions(answer: Answer) -> tuple[str, ...]:
    """What was taken as given that nobody measured."""
    plan, climate = answer.scene.plan, answer.scene.climate
    said = [
        "Tops, fills, builds and air changes named in words are presets at their likely value.",
        "No solar gain is counted; that is on the safe side.",
        "Hours are local standard time all winter.",
    ]
    if plan.room.temperature_c is None:
        said.append(
            f"Air changes: {plan.room.air_changes_per_h:g} an hour ({plan.room.leakiness})."
            f" Ground: {plan.room.floor.soil}."
        )
    if climate.assumed:
        said.append("Humidity 75 % and wind 3 m/s stand in where the series has none.")
    return tuple(said)

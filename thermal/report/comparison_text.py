"""Packages, floors, other ways and single parts in words and tables."""

from __future__ import annotations

from string import ascii_uppercase

from thermal.analysis.minimum_temperature_sweep import next_kelvin, working_between
from thermal.analysis.results import Comparison, Package
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.table_data import Rows, hours, money, watts

NOTHING = "as it is"


def advice(plan: Plan, options: Comparison) -> str:
    """What to do first, in one or two sentences."""
    currency, found = plan.power.currency, options.comparison
    if len(found.packages) == 1:
        return "The plan names no measures yet ([[measure]]); below is what other floors and other ways would cost."
    if not found.ranking:
        return "None of the measures saves heat: keep the money."
    first, last = found.ranking[0], found.ranking[-1].package
    bare = found.packages[0].result
    again = f"pays back in {first.cost / first.saves:.1f} winters" if first.cost > 0 else "costs nothing"
    said = f"First: {first.measure}. It {again} ({money(first.cost)} to save {money(first.saves)} {currency} a winter)."
    return (
        f"{said} All that saves anything, {len(found.ranking)} measures for {money(last.cost)} {currency}, brings a"
        f" winter from {money(bare.cost)} to {money(last.result.cost)} {currency} and the least heater from"
        f" {watts(bare.needed_w)} to {watts(last.result.needed_w)} W."
    )


def package_name(one: Package) -> str:
    """Its measures in words."""
    return " + ".join(one.measures) or NOTHING


def letters(plan: Plan) -> dict[str, str]:
    """A letter for each measure, in the plan's order."""
    return {one.name: letter for one, letter in zip(plan.measures, ascii_uppercase, strict=False)}


def packages_table(plan: Plan, options: Comparison) -> Rows:
    """The packages that nothing beats, cheapest first, numbered as in the chart; measures by their letters."""
    currency, found, letter = plan.power.currency, options.comparison, letters(plan)
    rows = []
    for number, place in enumerate(found.pareto_front, start=1):
        one = found.packages[place]
        result = one.result
        name = "".join(sorted(letter[measure] for measure in one.measures)) or NOTHING
        payback = "" if one.payback_winters is None else f"{one.payback_winters:.1f}"
        rows.append((
            str(number), name, money(one.cost), watts(result.needed_w), f"{result.kwh:,.0f}", money(result.cost),
            payback, hours(result.outage_h), f"{result.mould_h:,.0f}",
        ))  # fmt: skip
    heads = (
        "", "package", f"{currency} to buy", "least W", "kWh", f"{currency} a winter", "winters to pay back",
        "h to floor", "mould h",
    )  # fmt: skip
    return Rows(heads, tuple(rows), left=2)


def choices(plan: Plan, options: Comparison, budget: float | None) -> list[tuple[str, str]]:
    """The cheapest package for each limit that was given."""
    found, currency = options.comparison, plan.power.currency
    asked = []
    if plan.heater.units_w:
        asked.append(("cheapest that holds with the heater you own", found.with_owned))
    if plan.power.circuit_w is not None:
        asked.append((f"cheapest that fits one circuit ({plan.power.circuit})", found.on_circuit))
    if budget is not None:
        asked.append((f"cheapest to run within {money(budget)} {currency}", found.in_budget))
    said = []
    for label, place in asked:
        one = None if place is None else found.packages[place]
        text = "no package does" if one is None else f"{package_name(one)} ({money(one.cost)} {currency})"
        said.append((label, text))
    return said


def ranking_table(plan: Plan, options: Comparison) -> Rows:
    """Measures in the order to take them, each with what it adds."""
    currency, letter = plan.power.currency, letters(plan)
    taken = {step.measure for step in options.comparison.ranking}
    idle = tuple(
        (letter[one.name], one.name, money(one.cost), "nothing", "", "")
        for one in plan.measures
        if one.name not in taken
    )
    heads = (f"{currency} to buy", f"saves {currency} a winter", "then least W", "then kWh")
    return Rows(
        ("", "measure, in this order", *heads),
        tuple(
            (
                letter[step.measure], step.measure, money(step.cost), money(step.saves),
                watts(step.package.result.needed_w), f"{step.package.result.kwh:,.0f}",
            )
            for step in options.comparison.ranking
        ) + idle,
        left=2,
    )  # fmt: skip


def floors_table(plan: Plan, options: Comparison) -> Rows:
    """What every other floor asks for, and the species it begins to be warm enough for."""
    units, own = UNIT_SYSTEMS[plan.units], plan.keep.floor_c
    steps = [step for step in options.floors if step.floor_c % 2 == 0 or step.floor_c in (own, own + 1.0)]
    below = [-99.0, *(step.floor_c for step in steps)]
    return Rows(
        ("floor", "warm enough for", "least W", "kWh", f"{plan.power.currency} a winter"),
        tuple(
            (
                units.text("temperature", step.floor_c, 0) + (" (yours)" if step.floor_c == own else ""),
                ", ".join(working_between(colder, step.floor_c)), watts(step.result.needed_w),
                f"{step.result.kwh:,.0f}", money(step.result.cost),
            )
            for step, colder in zip(steps, below, strict=False)
        ),
        left=2,
    )  # fmt: skip


def floor_sentence(plan: Plan, options: Comparison) -> str:
    """What one degree more costs."""
    cost = next_kelvin(options.floors, plan.keep.floor_c)
    units = UNIT_SYSTEMS[plan.units]
    degree = (
        f"One kelvin more floor ({units.difference(1.0)})"
        if units.unit("temperature") != "°C"
        else "One kelvin more floor"
    )
    if cost is None:
        return "No heater of this kind holds a warmer floor."
    return f"{degree} costs {money(cost)} {plan.power.currency} in a median winter."


def ways_table(plan: Plan, options: Comparison, explained: bool = True) -> Rows:
    """Other ways to run the same system; explained: with what each means."""
    currency = plan.power.currency
    return Rows(
        ("instead", "least W", "kWh", f"{currency} a winter", f"saves {currency}", "mould h"),
        tuple(
            (
                f"{one.name}: {one.meaning}" if explained else one.name, watts(one.needed_w), f"{one.kwh:,.0f}",
                money(one.cost), money(one.saves), f"{one.mould_h:,.0f}",
            )
            for one in options.alternatives
        ),
    )  # fmt: skip


def insulating_sentence(plan: Plan, options: Comparison) -> str:
    """What a given heater is."""
    found = options.insulating
    if found is None:
        return "Give [heater] units or a [power] circuit to learn what each part would need alone."
    return f"Insulation on one part alone, to hold with {watts(found.watts)} W ({found.why}):"


def insulating_table(plan: Plan, options: Comparison) -> Rows:
    """The resistance each part alone would need."""
    found, units = options.insulating, UNIT_SYSTEMS[plan.units]
    rows = []
    for one in found.parts if found else ():
        if one.r_m2k_per_w is None:
            text = f"not even {units.text('resistance', 10.0, 0)}"
        elif one.r_m2k_per_w == 0.0:
            text = "nothing more"
        else:
            text = f"{units.text('resistance', one.r_m2k_per_w, 2)} more"
        rows.append((one.part, text))
    return Rows(("part", "needs"), tuple(rows), left=2)


def alts(plan: Plan, options: Comparison) -> dict[str, str]:
    """What the pictures show, in words."""
    front = [options.comparison.packages[place] for place in options.comparison.pareto_front]
    steps = [step for step in options.floors if step.result.needed_w is not None]
    units, currency = UNIT_SYSTEMS[plan.units], plan.power.currency
    if not front or not steps:
        return dict.fromkeys(("packages", "floors"), "Nothing to show: no heater of this kind holds the floor.")
    first, last = steps[0], steps[-1]
    return {
        "packages": f"Price of each package against the cost of a winter. {len(front)} packages that nothing beats run"
        f" from {money(front[0].cost)} to buy and {money(front[0].result.cost)} {currency} a winter to"
        f" {money(front[-1].cost)} and {money(front[-1].result.cost)}.",
        "floors": f"Least heater and cost of a winter rise with the floor: {watts(first.result.needed_w)} W and"
        f" {money(first.result.cost)} {currency} at {units.text('temperature', first.floor_c, 0)},"
        f" {watts(last.result.needed_w)} W and {money(last.result.cost)} {currency} at"
        f" {units.text('temperature', last.floor_c, 0)}.",
    }

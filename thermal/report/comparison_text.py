"""Packages, minimum temperatures, alternatives and insulation of single parts as sentences and tables."""

from __future__ import annotations

import math
from string import ascii_uppercase

from thermal import data
from thermal.analysis.comparison_results import Comparison, Package, PackageComparison
from thermal.analysis.minimum_temperature_sweep import next_kelvin, working_between
from thermal.analysis.way_packages import MOST_PACKAGES
from thermal.core.display_units import UNIT_SYSTEMS, percent_text
from thermal.physics.nitrification import nitrification_share
from thermal.plan.model import Plan
from thermal.report.table_data import Rows, hours, money, price_text, watts

NOTHING = "no measures"


def advice(plan: Plan, comparison: Comparison) -> str:
    """What to do first, in one or two sentences.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    currency, design = plan.power.currency, comparison.package_comparison
    if design.packages[0].result.needed_w is None:
        return _where_none_is_enough(plan, design)
    if not plan.measures:
        return (
            "The plan lists no measures yet ([[measure]]). Below: other minimum water temperatures, and other ways"
            " to heat the system."
        )
    if not design.ranking:
        return "None of the measures saves heat."
    first, last = design.ranking[0], design.ranking[-1].package
    bare = design.packages[0].result
    span = comparison.season.span
    saves = f"{price_text(first.saves, currency)} {span}"
    if first.cost > 0 and not comparison.season.complete:
        worth = f"costs {price_text(first.cost, currency)} and saves {saves}"
    elif first.cost > 0:
        winters = first.cost / first.saves
        worth = f"costs {price_text(first.cost, currency)}, saves {saves}, and pays back in {winters:.1f} winters"
    else:
        worth = f"costs nothing and saves {saves}"
    subject = "It cuts"
    if len(design.ranking) > 1:
        count = "Both" if len(design.ranking) == 2 else f"All {len(design.ranking)}"
        subject = f"{count} useful measures together ({price_text(last.cost, currency)}) cut"
    before = "" if bare.needed_w is None else f"from {watts(bare.needed_w)} "
    what = "heating" if bare.drying is None else "heating and drying of the air"
    return (
        f"Start with: {first.measure}. It {worth}. {subject} {what} from {price_text(bare.cost, currency)} to"
        f" {price_text(last.result.cost, currency)} {span} and the heater needed {before}to"
        f" {watts(last.result.needed_w)} W."
    )


def _where_none_is_enough(plan: Plan, design: PackageComparison) -> str:
    """What to do where no heater keeps the plan's water at its minimum."""
    enough = next((design.packages[index] for index in design.pareto_front), None)
    if enough:
        price = price_text(enough.cost, plan.power.currency)
        more = f" The cheapest package with which one does: {package_name(enough)} ({price})."
    else:
        more = " No package of measures changes that." if plan.measures else ""
    return f"As the plan is, no heater keeps the water at its minimum.{more}"


def package_name(package: Package) -> str:
    """Names of the measures in a package, and of another way to heat, joined by "+"."""
    return " + ".join([*package.measures, *([package.way] if package.way else [])]) or NOTHING


def letters(plan: Plan) -> dict[str, str]:
    """A letter for each measure by its name, in the plan's order."""
    return {measure.name: letter for measure, letter in zip(plan.measures, ascii_uppercase, strict=False)}


def packages_table(plan: Plan, comparison: Comparison) -> Rows:
    """Table of the best packages, cheapest first, numbered as in the chart; measures by their letters.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    currency, design, letter = plan.power.currency, comparison.package_comparison, letters(plan)
    span = comparison.season.span
    rows = []
    for number, index in enumerate(design.pareto_front, start=1):
        item = design.packages[index]
        result = item.result
        measures = "".join(sorted(letter[measure] for measure in item.measures))
        name = " + ".join(part for part in (measures, item.way) if part) or NOTHING
        rows.append((
            str(number), name, money(item.cost), watts(result.needed_w), f"{result.kwh:,.0f}", money(result.cost),
            _payback(comparison, item.payback_winters), hours(result.outage_h), f"{result.mould_h:,.0f}",
        ))  # fmt: skip
    heads = (
        "no.", "measures", f"price ({currency})", "heater needed (W)", f"kWh {span}", f"{currency} {span}",
        "winters to pay back", "hours to minimum after power cut", "hours of mould risk",
    )  # fmt: skip
    return Rows(heads, tuple(rows), left=2)


def _heat_and_cost(needed_w: float | None, kwh: float, *amounts: float) -> tuple[str, ...]:
    """Energy and amounts of money as text; dashes where no heater is enough, so that none of them is known."""
    if needed_w is None:
        return ("—",) * (1 + len(amounts))
    return (f"{kwh:,.0f}", *map(money, amounts))


def _payback(comparison: Comparison, winters: float | None) -> str:
    """Winters until a price is saved, or an empty text where that is not known."""
    return "" if winters is None or not comparison.season.complete else f"{winters:.1f}"


def choices(plan: Plan, comparison: Comparison, budget: float | None) -> list[tuple[str, str]]:
    """The best package for each limit that was given.

    Parameters
    ----------
    plan : Plan
        The plan, for its heaters, circuit and currency.
    comparison : Comparison
        Result of `compare`.
    budget : float or None
        Most to spend on measures, in the plan's currency.

    Returns
    -------
    list of (str, str)
        The limit, and the package with its price, or "none".
    """
    results, currency = comparison.package_comparison, plan.power.currency
    limits = []
    if plan.heater.units_w:
        limits.append(("cheapest for which the heaters you own are enough", results.with_owned))
    circuits = plan.power.circuits
    if circuits:
        fitting = "one circuit" if len(circuits) == 1 else "your circuits"
        limits.append((f"cheapest that fits {fitting} ({', '.join(circuits)})", results.on_circuit))
    if budget is not None:
        limits.append((f"lowest running cost for at most {price_text(budget, currency)}", results.in_budget))
    sentences = []
    for label, index in limits:
        item = None if index is None else results.packages[index]
        text = "none" if item is None else f"{package_name(item)} ({price_text(item.cost, currency)})"
        sentences.append((label, text))
    return sentences


def ranking_table(plan: Plan, comparison: Comparison) -> Rows:
    """Table of the measures in the order to take them, with what each one saves beyond those before it.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    currency, letter, span = plan.power.currency, letters(plan), comparison.season.span
    taken = {step.measure for step in comparison.package_comparison.ranking}
    idle = tuple(
        (letter[measure.name], measure.name, money(measure.cost), "nothing", "", "")
        for measure in plan.measures
        if measure.name not in taken
    )
    heads = (f"price ({currency})", f"saves ({currency} {span})", "heater needed after (W)", f"kWh {span} after")
    return Rows(
        ("", "measure, in this order", *heads),
        tuple(
            (
                letter[step.measure], step.measure, money(step.cost), money(step.saves),
                watts(step.package.result.needed_w), f"{step.package.result.kwh:,.0f}",
            )
            for step in comparison.package_comparison.ranking
        ) + idle,
        left=2,
    )  # fmt: skip


def floors_table(plan: Plan, comparison: Comparison) -> Rows:
    """Table of heater and cost at other minimum temperatures, and of the species that each is first warm enough for.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    units, plan_floor_c, span = UNIT_SYSTEMS[plan.units], plan.keep.floor_c, comparison.season.span
    steps = [
        step
        for step in comparison.floors
        if step.floor_c % 2 == 0 or step.floor_c in (plan_floor_c, plan_floor_c + 1.0)
    ]
    below = [-99.0, *(step.floor_c for step in steps)]
    return Rows(
        (
            "minimum water temperature", "warm enough for", "heater needed (W)", f"kWh {span}",
            f"{plan.power.currency} {span}", f"nitrification (of {units.text('temperature', 25.0, 0)})",
        ),
        tuple(
            (
                units.text("temperature", step.floor_c, 0) + (" (yours)" if step.floor_c == plan_floor_c else ""),
                ", ".join(working_between(colder, step.floor_c)), watts(step.result.needed_w),
                *_heat_and_cost(step.result.needed_w, step.result.kwh, step.result.cost),
                percent_text(float(nitrification_share(step.floor_c))),
            )
            for step, colder in zip(steps, below, strict=False)
        ),
        left=2,
    )  # fmt: skip


def floor_sentence(plan: Plan, comparison: Comparison) -> str:
    """What it costs in a typical winter to keep the water one degree warmer.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    cost = next_kelvin(comparison.floors, plan.keep.floor_c)
    if cost is None:
        return "No heater of this kind can keep the water warmer."
    units = UNIT_SYSTEMS[plan.units]
    degrees = units.difference(1.0, 0 if units.unit("temperature") == "°C" else 1)
    winter = comparison.season.phrase
    return f"Keeping the water {degrees} warmer costs {price_text(cost, plan.power.currency)} more in {winter}."


def ways_table(plan: Plan, comparison: Comparison, explained: bool = True) -> Rows:
    """Table of other ways to heat the same system.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    explained : bool
        True to say what each alternative means.
    """
    currency, span = plan.power.currency, comparison.season.span
    return Rows(
        (
            "other way", f"price ({currency})", "heater needed (W)", f"kWh {span}", f"{currency} {span}",
            f"saves ({currency} {span})", "winters to pay back", "hours of mould risk",
        ),
        tuple(
            (
                f"{alternative.name}: {alternative.meaning}" if explained else alternative.name,
                "" if alternative.price is None else money(alternative.price),
                watts(alternative.needed_w),
                *_heat_and_cost(alternative.needed_w, alternative.kwh, alternative.cost, alternative.saves),
                _payback(comparison, alternative.payback_winters),
                f"{alternative.mould_h:,.0f}",
            )
            for alternative in comparison.alternatives
        ),
    )  # fmt: skip


def way_reasons(comparison: Comparison) -> list[str]:
    """Why the heater, the energy or the mould risk of other ways rises, each with the way's name.

    Parameters
    ----------
    comparison : Comparison
        Result of `compare`.
    """
    return [f"{other.name.capitalize()}: {other.reason}" for other in comparison.alternatives if other.reason]


def way_prices_sentence(plan: Plan, comparison: Comparison) -> str:
    """Where the prices of other ways come from, and which packages they are part of.

    Parameters
    ----------
    plan : Plan
        The plan, for its measures.
    comparison : Comparison
        Result of `compare`.
    """
    if not comparison.alternatives:
        return ""
    usual = [other for other in comparison.alternatives if not other.stands_alone]
    priced = [other for other in usual if other.price is not None]
    unpriced = [other.name for other in usual if other.price is None]
    source = data.citation("practice")
    parts = [f"Prices of other ways, unless the plan gives them as [[other_way]]: {source}."] if priced else []
    if unpriced:
        parts.append(
            f"No price is known for: {', '.join(unpriced)}. Write one as [[other_way]] to compare them by price."
        )
    if priced and plan.measures:
        few = 2 ** len(plan.measures) <= MOST_PACKAGES
        which = "every package of measures" if few else "the best-value packages of measures"
        parts.append(
            f"A way with a price that saves money counts among the packages, alone and with {which}, one way at a time;"
            " a heat pump with every package."
        )
    return " ".join(parts)


def insulating_sentence(plan: Plan, comparison: Comparison) -> str:
    """Heater power that is available, and whether more insulation is needed with it.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    comparison : Comparison
        Result of `compare`.
    """
    result = comparison.insulating
    if result is None:
        return "Give [heater] units or a [power] circuit to see how much insulation each part alone would need."
    if all(part.r_m2k_per_w == 0.0 for part in result.parts):
        return f"With {math.floor(result.watts):,} W ({result.why}) no more insulation is needed."
    return f"Insulation that each part alone would need to manage with {math.floor(result.watts):,} W ({result.why}):"


def insulating_table(plan: Plan, comparison: Comparison) -> Rows:
    """Table of the resistance that each part alone would need; empty where none is needed.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    comparison : Comparison
        Result of `compare`.
    """
    result, units = comparison.insulating, UNIT_SYSTEMS[plan.units]
    rows = []
    if result is None or all(part.r_m2k_per_w == 0.0 for part in result.parts):
        return Rows(("part", "needs"), (), left=2)
    for piece in result.parts:
        if piece.r_m2k_per_w is None:
            text = f"not enough alone, even with {units.text('resistance', 10.0, 0)}"
        elif piece.r_m2k_per_w == 0.0:
            text = "nothing more"
        else:
            text = f"{units.text('resistance', piece.r_m2k_per_w, 2)} more than now"
        rows.append((piece.part, text))
    return Rows(("part", "needs"), tuple(rows), left=2)


def alts(plan: Plan, comparison: Comparison) -> dict[str, str]:
    """Alternative texts of the charts for readers who cannot see them.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.

    Returns
    -------
    dict of str to str
        By the names of the charts, "packages" and "floors".
    """
    front = [comparison.package_comparison.packages[index] for index in comparison.package_comparison.pareto_front]
    steps = [step for step in comparison.floors if step.result.needed_w is not None]
    units, currency, span = UNIT_SYSTEMS[plan.units], plan.power.currency, comparison.season.span
    if not front or not steps:
        return dict.fromkeys(
            ("packages", "floors"), "Nothing to show: no heater of this kind keeps the water at its minimum."
        )
    first, last = steps[0], steps[-1]
    return {
        "packages": f"Price of each package of measures and the cost of heating in {comparison.season.phrase}. The"
        f" {len(front)}"
        f" best packages range from {price_text(front[0].cost, currency)} to buy and "
        f"{price_text(front[0].result.cost, currency)} {span} to {price_text(front[-1].cost, currency)} to buy and"
        f" {price_text(front[-1].result.cost, currency)} {span}.",
        "floors": "Heater needed and cost of heating rise with the minimum water temperature:"
        f" {watts(first.result.needed_w)} W and {price_text(first.result.cost, currency)} at"
        f" {units.text('temperature', first.floor_c, 0)}, {watts(last.result.needed_w)} W and"
        f" {price_text(last.result.cost, currency)} at {units.text('temperature', last.floor_c, 0)}.",
    }

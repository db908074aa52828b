"""The heaters on their circuits in words: one line for each breaker, and one sentence for all."""

from __future__ import annotations

import math
from itertools import groupby

from thermal.analysis.assessment import Assessment
from thermal.analysis.results import CircuitLoad
from thermal.core.display_units import ROUNDING, heater_list, limit_text


def on_circuits(circuits: tuple[CircuitLoad, ...]) -> str:
    """The number of circuits that heaters to buy need, as the end of a sentence; empty for one."""
    return f", on {len(circuits)} circuits" if len(circuits) > 1 else ""


def circuit_rows(assessment: Assessment) -> list[tuple[str, str]]:
    """Each circuit, and what it carries, breaker by breaker; further circuits that are alike share a line."""
    rows = []
    for numbers, circuit in _alike(assessment.heater.circuits):
        first, last = numbers[0] + 1, numbers[-1] + 1
        name = f"circuit {first}" if first == last else f"circuits {first} to {last}, each"
        status = ", assumed" if assessment.circuit.assumed and first == 1 else "" if circuit.given else ", to be added"
        carried = _carries(assessment, circuit, first == 1)
        rows.append((f"{name} ({circuit.breaker}{status})", f"{carried}: {_load(circuit)}"))
    return rows


def circuits_sentence(assessment: Assessment) -> str:
    """The layout in one sentence, and whether its circuit was assumed."""
    parts = []
    for numbers, circuit in _alike(assessment.heater.circuits):
        count, noun = ("one", "circuit") if len(numbers) == 1 else (f"each of {len(numbers)}", "circuits")
        more = "" if circuit.given or numbers[0] == 0 else " more"
        carried = _carries(assessment, circuit, numbers[0] == 0)
        parts.append(f"{carried} on {count}{more} {circuit.breaker} {noun} ({_load(circuit)})")
    return f"Circuits: {'; '.join(parts)}. {assumed_sentence(assessment)}".rstrip()


def assumed_sentence(assessment: Assessment) -> str:
    """That the circuit was assumed; empty where the plan gives one."""
    if not assessment.circuit.assumed:
        return ""
    return (
        f"The plan gives no circuit, so {assessment.circuit.name} is assumed: write what stands on your breaker as"
        " [power] circuit."
    )


def _alike(circuits: tuple[CircuitLoad, ...]) -> list[tuple[list[int], CircuitLoad]]:
    """Runs of circuits after the first with the same load: their indices, and one of them."""
    runs = groupby(enumerate(circuits), key=lambda item: (item[0] == 0, item[1]))
    return [([index for index, _ in run], circuit) for (_, circuit), run in runs]


def _carries(assessment: Assessment, circuit: CircuitLoad, first: bool) -> str:
    """What a circuit carries."""
    others = _others(assessment) if first and circuit.load_w > sum(circuit.heaters_w) else ""
    if not circuit.heaters_w:
        return others or "nothing"
    heaters = heater_list(circuit.heaters_w)
    return f"{heaters} with {others}" if others else heaters


def _others(assessment: Assessment) -> str:
    """What the first circuit carries beside heaters."""
    plan = assessment.case.plan
    lights_only = all(load.name == "lights" for load in plan.loads) and not (plan.dehumidifier or plan.fan)
    return "pump and lights" if lights_only else "pump, lights and other devices"


def _load(circuit: CircuitLoad) -> str:
    """The load of a circuit, rounded up, and its limit, rounded down."""
    return f"{math.ceil(circuit.load_w - ROUNDING):,} of {limit_text(circuit.limit_w)}"

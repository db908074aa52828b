"""Whether heaters, pump and lights fit the circuit: continuous loads may take 80 % of it."""

from __future__ import annotations

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.results import Circuit


def circuit_check(case: SimulationCase, heaters_w: tuple[float, ...]) -> Circuit:
    """The load on the circuit of a plan, and the largest continuous load that it may carry.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heaters_w : tuple of float
        Power of each heater [W].

    Source: NEC 210.20(A) for the 80 %, see data/heaters.toml.
    """
    power = case.plan.power
    load = sum(heaters_w) + case.plan.electric_w
    if power.circuit_w is None:
        return Circuit("", None, load, None, "")
    limit = data.continuous_share() * power.circuit_w
    source = data.citation("nec" if american(power.circuit) else "planning")
    return Circuit(power.circuit, limit, load, load <= limit, source)


def american(circuit: str) -> bool:
    """Whether the voltage of a circuit such as "15 A 120 V" is one of North America's."""
    volts = float(circuit.lower().split("a")[1].strip(" v"))
    return volts in (110.0, 115.0, 120.0, 208.0, 240.0)

"""Circuits for heaters: continuous loads may take 80 % of each, and pump and lights are on the first."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermal import data
from thermal.plan.circuits import circuit_rating
from thermal.plan.model import Plan

ROUNDING_W = 1e-6
NO_CAP = 1_000_000  # heaters on one circuit: as many as its limit allows


@dataclass(frozen=True)
class CircuitSupply:
    """The circuits that heaters may use.

    Where they are not enough, further circuits are added, each like the largest of them.

    Attributes
    ----------
    circuits : tuple of str
        At least one circuit, "15 A 120 V"; the first carries pump, lights and other loads too.
    other_w : float
        Largest power of pump, lights and other loads together [W].
    assumed : bool
        Whether the plan gives no circuit, so that a usual one is assumed.
    """

    circuits: tuple[str, ...]
    other_w: float
    assumed: bool = False

    @property
    def largest(self) -> str:
        """The circuit with the highest limit, which further circuits are like."""
        return max(self.circuits, key=continuous_limit)

    @property
    def free_w(self) -> tuple[float, ...]:
        """Power left for heaters on each circuit; below zero where pump and lights alone are too much. [W]"""
        return tuple(
            continuous_limit(circuit) - (self.other_w if index == 0 else 0.0)
            for index, circuit in enumerate(self.circuits)
        )


def continuous_limit(circuit: str) -> float:
    """Largest load of three hours or more on a circuit such as "15 A 120 V". [W]

    Source: NEC 210.20(A) for the 80 %, see data/heaters.toml.
    """
    return data.continuous_share() * math.prod(circuit_rating(circuit))


def supply_of(plan: Plan) -> CircuitSupply:
    """The circuits of a plan, or the one assumed for its units where it gives none."""
    circuits = plan.power.circuits
    return CircuitSupply(circuits or (data.assumed_circuit(plan.units),), plan.electric_w, not circuits)


def heaters_that_fit(free_w: float, size_w: float, most: int = NO_CAP) -> int:
    """How many heaters of one size fit into the power left on a circuit.

    Parameters
    ----------
    free_w, size_w : float
        Power left on the circuit, and power of each heater [W].
    most : int
        Largest number of heaters on one circuit.
    """
    if size_w <= ROUNDING_W:
        return most
    return min(most, max(0, math.floor((free_w + ROUNDING_W) / size_w)))


def further_circuits(count: int, size_w: float, supply: CircuitSupply, most: int = NO_CAP) -> int | None:
    """How many further circuits some equal heaters need; None where one of them fits no circuit.

    Parameters
    ----------
    count : int
        Number of heaters.
    size_w : float
        Power of each heater [W].
    supply : CircuitSupply
        The circuits.
    most : int
        Largest number of heaters on one circuit.
    """
    left = count - sum(heaters_that_fit(free, size_w, most) for free in supply.free_w)
    on_each = heaters_that_fit(continuous_limit(supply.largest), size_w, most)
    if on_each == 0:
        return None
    return max(0, math.ceil(left / on_each))


def fits_no_circuit(heaters_w: tuple[float, ...], supply: CircuitSupply) -> bool:
    """Whether one of some heaters is larger than every circuit's limit."""
    return max(heaters_w, default=0.0) > continuous_limit(supply.largest) + ROUNDING_W

"""Which circuit carries which heater: continuous loads may take 80 % of a circuit, pump and lights are on the first."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermal import data
from thermal.analysis.results import Circuit, CircuitLoad, HeaterChoice
from thermal.plan.circuits import circuit_rating, is_american
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
    return most if size_w <= 0 else min(most, max(0, math.floor((free_w + ROUNDING_W) / size_w)))


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


def layout(heaters_w: tuple[float, ...], supply: CircuitSupply) -> tuple[CircuitLoad, ...]:
    """The heaters on circuits, breaker by breaker: as few further circuits as possible, then as evenly as possible.

    Parameters
    ----------
    heaters_w : tuple of float
        Power of each heater [W].
    supply : CircuitSupply
        The circuits.

    Returns
    -------
    tuple of CircuitLoad
        The first circuit, and all others that carry a heater. A heater that is larger than every limit has a circuit to
        itself, which is then above its limit.
    """
    further = 0
    if heaters_w and max(heaters_w) == min(heaters_w):
        further = further_circuits(len(heaters_w), heaters_w[0], supply) or 0
    while (placed := _placed(heaters_w, supply, further)) is None:
        further += 1
    given = len(supply.circuits)
    names = (*supply.circuits, *[supply.largest] * further)
    return tuple(
        CircuitLoad(
            breaker=name,
            limit_w=continuous_limit(name),
            load_w=sum(heaters) + (supply.other_w if index == 0 else 0.0),
            heaters_w=tuple(heaters),
            given=index < given and not supply.assumed,
        )
        for index, (name, heaters) in enumerate(zip(names, placed, strict=True))
        if heaters or index == 0
    )


def _placed(heaters_w: tuple[float, ...], supply: CircuitSupply, further: int) -> list[list[float]] | None:
    """The heaters on each circuit and on some further ones; None where these are not enough.

    Each heater, the largest first, goes to the circuit with the fewest heaters that can carry it, of those to the
    one with the most power left.
    """
    largest_w = continuous_limit(supply.largest)
    free = [*supply.free_w, *[largest_w] * further]
    placed: list[list[float]] = [[] for _ in free]
    for heater in sorted(heaters_w, reverse=True):
        if heater > largest_w + ROUNDING_W:
            able = [index for index, there in enumerate(placed) if not there]
        else:
            able = [index for index, left in enumerate(free) if heater <= left + ROUNDING_W]
        if not able:
            return None
        chosen = min(able, key=lambda index: (len(placed[index]), -free[index]))
        placed[chosen].append(heater)
        free[chosen] -= heater
    return placed


def fits_given_circuits(heaters_w: tuple[float, ...], plan: Plan) -> bool | None:
    """Whether the circuits of a plan carry some heaters beside its pump and lights; None where it gives no circuit.

    Parameters
    ----------
    heaters_w : tuple of float
        Power of each heater [W].
    plan : Plan
        The plan, with its circuits.
    """
    supply = supply_of(plan)
    if supply.assumed:
        return None
    placed = _placed(heaters_w, supply, 0)
    return supply.free_w[0] >= 0 and placed is not None and not fits_no_circuit(heaters_w, supply)


def first_circuit(plan: Plan, heater: HeaterChoice) -> Circuit:
    """The load on the first circuit of a plan, that of pump and lights, and the largest load that it may carry.

    Parameters
    ----------
    plan : Plan
        The plan, with the heaters owned.
    heater : HeaterChoice
        The heaters on their circuits.
    """
    first, supply = heater.circuits[0], supply_of(plan)
    fits = first.load_w <= first.limit_w + ROUNDING_W and not fits_no_circuit(plan.heater.units_w, supply)
    source = data.citation("nec" if is_american(first.breaker) else "planning")
    return Circuit(first.breaker, first.limit_w, first.load_w, fits, source, supply.assumed)

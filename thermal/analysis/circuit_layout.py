"""Which circuit carries which heater, breaker by breaker."""

from __future__ import annotations

from thermal import data
from thermal.analysis.circuit import (
    ROUNDING_W,
    CircuitSupply,
    continuous_limit,
    fits_no_circuit,
    further_circuits,
    supply_of,
)
from thermal.analysis.results import Circuit, CircuitLoad, HeaterChoice
from thermal.plan.circuits import is_american
from thermal.plan.model import Plan


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
    while (placed := _placement(heaters_w, supply, further)) is None:
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


def _placement(heaters_w: tuple[float, ...], supply: CircuitSupply, further: int) -> list[list[float]] | None:
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
    placed = _placement(heaters_w, supply, 0)
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

"""Beds to which no water flows: for how long their water is frozen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.analysis.case import SimulationCase, hours_of
from thermal.physics.freezing import AT_FREEZING_C
from thermal.solver.results import SimulationResult


@dataclass(frozen=True)
class FrozenBeds:
    """Beds without flow in the winter in which they are frozen longest, heaters as recommended.

    Attributes
    ----------
    winter : str
        The winter.
    hours_frozen : int
        Hours of it at whose end there is ice in the water of the beds [h].
    first : str or None
        The first of them, ISO 8601, local standard time; None where they do not freeze.
    """

    winter: str
    hours_frozen: int
    first: str | None


def frozen_beds(case: SimulationCase, shown: SimulationResult) -> FrozenBeds | None:
    """How long beds are frozen; None where the plan has none, or water flows through them.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, hour by hour.
    """
    vessels = case.network.vessels
    if not case.plan.beds or case.plan.pump.circulating_share > 0.0 or vessels is None:
        return None
    bed, winters = case.network.nodes.index("bed"), case.weather.winters
    water = [hours_of(case, shown, winter).end(bed, vessels.water_nodes) for winter in range(len(winters))]
    frozen = [bed_c <= AT_FREEZING_C for bed_c in water]
    longest = int(np.argmax([hours.sum() for hours in frozen]))
    count = int(frozen[longest].sum())
    first = winters[longest].times()[int(np.argmax(frozen[longest]))].isoformat() if count else None
    return FrozenBeds(winters[longest].label, count, first)

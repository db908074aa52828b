"""The plan tables of other sources of heat, which `compare` tries as other ways to heat."""

from __future__ import annotations

from typing import Annotated

from thermal.plan import field_types
from thermal.plan.table import Table

Cost = Annotated[float, field_types.number(0.0, 1e7, "a cost")]


class CompostTable(Table):
    """[other_heat.compost]: a compost heap."""

    volume: field_types.HeapVolume
    heat: field_types.HeapHeat | None = None
    where: Annotated[str, field_types.word(("water", "room"), "a place for heat")] = "water"
    cost: Cost | None = None


class OtherHeatTable(Table):
    """[other_heat]: sources of heat to try."""

    compost: CompostTable | None = None

    @property
    def into_air(self) -> str:
        """The first source whose heat goes to the room's air; empty where none does."""
        return "compost" if self.compost is not None and self.compost.where == "room" else ""

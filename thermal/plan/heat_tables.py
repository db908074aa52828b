"""The plan tables of other sources of heat, which `compare` tries as other ways to heat."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from thermal.core.facings import AZIMUTH_DEG
from thermal.core.schedule import ALWAYS, DailySchedule
from thermal.plan import field_types
from thermal.plan.table import Table

EVENING: DailySchedule = (0.0,) * 18 + (1.0,) * 4 + (0.0,) * 2  # 18:00 to 22:00
Cost = Annotated[float, field_types.number(0.0, 1e7, "a cost")]


class CompostTable(Table):
    """[other_heat.compost]: a compost heap."""

    volume: field_types.HeapVolume
    heat: field_types.HeapHeat | None = None
    where: Annotated[str, field_types.word(("water", "room"), "a place for heat")] = "water"
    cost: Cost | None = None


class HouseAirTable(Table):
    """[other_heat.house_air]: air taken from the house."""

    flow: field_types.AirFlow
    hours: field_types.Times = ALWAYS
    heat_price: field_types.Price | None = None
    cost: Cost | None = None

    @model_validator(mode="after")
    def _runs_at_some_time(self) -> HouseAirTable:
        if sum(self.hours) == 0.0:
            raise ValueError("a fan that never runs brings no air; write hours, or remove them")
        return self


class StoveTable(Table):
    """[other_heat.stove]: a stove in the room."""

    power: field_types.StovePower | None = None
    hours: field_types.Times = EVENING
    heat_price: field_types.Price | None = None
    cost: Cost | None = None

    @model_validator(mode="after")
    def _goes_out_by_midnight(self) -> StoveTable:
        if sum(self.hours) == 0.0:
            raise ValueError("a stove that is never lit gives no heat; write hours, or remove them")
        if self.hours[-1] > 0.0 and self.hours[0] > 0.0:
            raise ValueError(
                "a stove has to go out by midnight, so that its hours until the next day can be told; write for example"
                ' "18:00-24:00"'
            )
        return self


class CollectorTable(Table):
    """[other_heat.collector]: a sun collector."""

    area: field_types.CollectorArea
    tilt: Annotated[float, field_types.number(0.0, 90.0, "a tilt in degrees")] = 60.0
    facing: Annotated[str, field_types.word(tuple(AZIMUTH_DEG), "a direction")] | None = None
    eta0: Annotated[float, field_types.number(0.1, 1.0, "an efficiency")] | None = None
    a1: Annotated[float, field_types.number(0.0, 20.0, "a number of W/m²K")] | None = None
    a2: Annotated[float, field_types.number(0.0, 0.1, "a number of W/m²K²")] | None = None
    max_temperature: field_types.WaterTemperature | None = None
    cost: Cost | None = None


class OtherHeatTable(Table):
    """[other_heat]: sources of heat to try."""

    compost: CompostTable | None = None
    house_air: HouseAirTable | None = None
    stove: StoveTable | None = None
    collector: CollectorTable | None = None

    @property
    def into_air(self) -> str:
        """The first source whose heat goes to the room's air; empty where none does."""
        if self.compost is not None and self.compost.where == "room":
            return "compost"
        if self.house_air is not None:
            return "house_air"
        return "stove" if self.stove is not None else ""

"""The plan tables of the fish-and-plant system: what to keep, vessels, pump, heater, other devices and tap water."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from thermal import data
from thermal.core import quantities
from thermal.core.quantities import TEMPERATURE
from thermal.core.schedule import ALWAYS
from thermal.data.vapour_sources import vapour_source
from thermal.plan import field_types
from thermal.plan.table import Table


class KeepTable(Table):
    """[keep]: the water temperatures to keep."""

    floor: field_types.WaterTemperature | None = None
    species: Annotated[
        list[Annotated[str, field_types.word(data.species, "a known species")]], Field(max_length=20)
    ] = []
    thermostat: field_types.WaterTemperature | None = None
    upper: field_types.WaterTemperature | None = None
    cheap_hours: field_types.WaterTemperature | None = None

    @model_validator(mode="after")
    def _temperatures_in_order(self) -> KeepTable:
        if self.floor is None and not self.species:
            raise ValueError('no minimum water temperature; write floor = "10 degC", or species = ["yellow perch"]')
        if self.thermostat is not None and self.thermostat < self.coldest_allowed_c:
            raise ValueError(
                f"the thermostat is {TEMPERATURE.bound(self.thermostat)}, below the minimum water temperature of"
                f" {TEMPERATURE.bound(self.coldest_allowed_c)}; write a thermostat at or above it"
            )
        if self.cheap_hours is not None and self.cheap_hours < self.coldest_allowed_c:
            raise ValueError(
                f"cheap_hours is {TEMPERATURE.bound(self.cheap_hours)}, below the minimum water temperature of"
                f" {TEMPERATURE.bound(self.coldest_allowed_c)}; write a temperature at or above it"
            )
        return self

    @property
    def coldest_allowed_c(self) -> float:
        """Minimum water temperature, as written or the highest minimum of the species. [degC]"""
        if self.floor is not None:
            return self.floor
        return max(data.species()[name.lower()].working_c for name in self.species)


SIDES = ("front", "back", "left", "right")  # of a rectangular vessel: two along its length, two along its width
SideWord = Annotated[str, field_types.word(("room", "house", "outdoors"), "something that a side of a tank can face")]


class TankTable(Table):
    """[[tank]]: a tank, sump or other vessel of water."""

    name: Annotated[str, Field(max_length=80)] = "tank"
    shape: Annotated[str, field_types.word(("round", "rectangular"), "a shape")] = "rectangular"
    diameter: field_types.Across | None = None
    length: field_types.Across | None = None
    width: field_types.Across | None = None
    water_depth: field_types.Depth
    height: field_types.Length | None = None
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    walls: field_types.Layers = "polyethylene 6 mm"
    insulation: field_types.Layers = "none"
    top: field_types.TopWord = "open"
    top_share: field_types.Part = 1.0
    night_top: field_types.TopWord | None = None
    stands_on: field_types.StandsOn = "slab"
    front: SideWord = "room"
    back: SideWord = "room"
    left: SideWord = "room"
    right: SideWord = "room"
    buried_depth: field_types.Depth | None = None

    @model_validator(mode="after")
    def _sides_of_its_shape(self) -> TankTable:
        required = ("diameter",) if self.shape == "round" else ("length", "width")
        if missing := [key for key in required if getattr(self, key) is None]:
            raise ValueError(
                f'a {self.shape} vessel needs {" and ".join(missing)}; write for example {missing[0]} = "1.2 m"'
            )
        other = {"diameter", "length", "width"} - set(required)
        if extra := sorted(key for key in other if getattr(self, key) is not None):
            other_shape = "rectangular" if self.shape == "round" else "round"
            raise ValueError(
                f'a {self.shape} vessel has no {" or ".join(extra)}; remove it, or write shape = "{other_shape}"'
            )
        if self.shape == "round" and (facing := [side for side in SIDES if getattr(self, side) != "room"]):
            raise ValueError(
                f'a round vessel has no {" or ".join(facing)} side; remove it, or write shape = "rectangular" with'
                " length and width"
            )
        return self

    @model_validator(mode="after")
    def _sunk_into_a_floor(self) -> TankTable:
        if self.buried_depth is None:
            return self
        if self.stands_on.lower().endswith("frame"):
            raise ValueError(
                'buried_depth: what is sunk into the floor stands on no frame; write stands_on = "slab", or remove'
                " buried_depth"
            )
        rim = self.water_depth if self.height is None else self.height
        if self.buried_depth > rim:
            raise ValueError(
                f"buried_depth: {self.buried_depth:g} m is deeper than the vessel is high ({rim:g} m); write at most"
                " that, or its height"
            )
        facing = next((side for side in SIDES if getattr(self, side) != "room"), None)
        if facing and self.buried_depth >= self.water_depth:
            raise ValueError(
                f"{facing}: all of that side is below the floor; remove {facing}, or write less buried_depth"
            )
        return self

    @model_validator(mode="after")
    def _cover_and_rim(self) -> TankTable:
        if self.top_share < 1.0 and self.top in ("open", "bubbling"):
            raise ValueError(
                f'top_share: a top that is {self.top} covers nothing; write the cover, top = "floating foam", or remove'
                " top_share"
            )
        if self.height is not None and self.water_depth > self.height:
            raise ValueError(
                f"the water is deeper ({self.water_depth:g} m) than the vessel is high ({self.height:g} m);"
                " correct water_depth or height"
            )
        return self


class BedTable(TankTable):
    """[[bed]]: a grow bed or raft, or several alike."""

    name: Annotated[str, Field(max_length=80)] = "bed"
    fill: Annotated[str, field_types.word(data.fills, "a bed fill")] = "gravel"
    flooding: Annotated[str, field_types.word(("flood and drain", "constant"), "a kind of flooding")] = (
        "flood and drain"
    )
    wet: Annotated[float, field_types.number(0.0, 2.0, "a share of open-water evaporation")] | None = None
    stands_on: field_types.StandsOn = "frame"
    transpiration: Annotated[float | str, BeforeValidator(field_types.read_transpiration)] = "usual"


class PipeTable(Table):
    """[[pipe]]: a run of pipe, flow and return together."""

    name: Annotated[str, Field(max_length=80)] = "pipe"
    length: field_types.PipeLength
    diameter: field_types.PipeDiameter
    insulation: field_types.PipeLayers = "none"
    where: Annotated[str, field_types.word(("system", "room"), "a place for a pipe")] = "system"


class BarrelTable(Table):
    """[[barrel]]: closed containers of water in the room, outside the system."""

    name: Annotated[str, Field(max_length=80)] = "barrel"
    volume: Annotated[float, field_types.quantity(quantities.VOLUME, 1e-4, 10.0)]
    count: Annotated[int, Field(ge=1, le=10_000)] = 1
    walls: field_types.Layers = "polyethylene 3 mm"
    where: Annotated[str, field_types.word(("system", "room"), "a place for a barrel")] = "system"


class PumpTable(Table):
    """[pump]: the pump between tanks and beds."""

    flow: field_types.Flow = 0.0
    power: field_types.Watts = 0.0
    hours: field_types.Times = ALWAYS
    duty: Annotated[str, BeforeValidator(field_types.read_duty)] | None = None
    in_water_share: field_types.Part = 1.0


class WaterTable(Table):
    """[water]: tap water added or changed."""

    tap_temperature: field_types.WaterTemperature | None = None
    start_temperature: field_types.WaterTemperature | None = None
    change_per_day: field_types.Volume = 0.0
    top_off_per_day: field_types.Volume = 0.0


class HeaterTable(Table):
    """[heater]: where the heat goes, and the heaters you own."""

    where: Annotated[str, field_types.word(("water", "room"), "a place for heat")] = "water"
    units: Annotated[list[field_types.Watts], Field(max_length=20)] = []
    reserve: field_types.Share | None = None
    hours: field_types.Times = ALWAYS
    cut_out: field_types.WaterTemperature | None = None

    @model_validator(mode="after")
    def _check_timer_and_cut_out(self) -> HeaterTable:
        if sum(self.hours) == 0.0:
            raise ValueError("a heater whose timer never switches it on heats nothing; write hours, or remove them")
        if self.cut_out is not None and self.where != "water":
            raise ValueError('cut_out is for heaters in the water; write where = "water", or remove cut_out')
        return self


class GainTable(Table):
    """[[gain]]: any other electrical device, or something that makes the air of the room damp."""

    name: Annotated[str, Field(max_length=80)] = "gain"
    power: field_types.Watts | None = None
    hours: field_types.Times = ALWAYS
    where: Annotated[str, field_types.word(("water", "room"), "a place for heat")] = "room"
    vapour: Annotated[str, Field(max_length=80)] | None = None

    @model_validator(mode="after")
    def _power_or_vapour(self) -> GainTable:
        if self.power is None and self.vapour is None:
            raise ValueError('no power; write for example power = "35 W", or vapour = "5 kg/day"')
        if self.vapour is None:
            return self
        if self.where != "room":
            raise ValueError('vapour goes to the air; write where = "room", or remove vapour')
        source = vapour_source(self.vapour)
        if source.kg_per_kwh and not self.power:
            raise ValueError('the vapour of a burner follows its power; write for example power = "3 kW"')
        return self

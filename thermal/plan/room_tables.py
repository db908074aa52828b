"""The plan tables of the room: its sides, floor and lights, and a hut inside it."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from thermal import data
from thermal.core.facings import FACINGS
from thermal.core.schedule import ALWAYS
from thermal.plan import field_types
from thermal.plan.table import Table

AIR_FROM = ("room", "outdoors", "house")


class SideTable(Table):
    """[[room.side]]: a wall, door, window or ceiling."""

    name: Annotated[str, Field(max_length=80)] = "side"
    area: field_types.Area
    build: Annotated[str, BeforeValidator(field_types.read_build)]
    faces: Annotated[
        str, field_types.word(("outdoors", "house", "attic", "ground"), "something that a side can face")
    ] = "outdoors"
    facing: Annotated[str, field_types.word(FACINGS, "a direction that a side can face")] | None = None
    colour: Annotated[str, field_types.word(data.colours, "a colour")] | None = None
    g: field_types.Part | None = None
    stud_share: field_types.Share | None = None
    stud: field_types.Layers | None = None

    @model_validator(mode="after")
    def _stud_with_share(self) -> SideTable:
        if (self.stud_share is None) != (self.stud is None):
            raise ValueError(
                'stud_share and stud need each other; write for example stud_share = "15 %" and stud = "softwood 90 mm"'
            )
        if self.stud is not None and self.build in data.builds():
            raise ValueError("a preset counts its studs already; remove stud and stud_share, or write build as layers")
        return self

    @model_validator(mode="after")
    def _sun_on_outer_sides(self) -> SideTable:
        if self.faces in ("house", "ground"):
            for key in ("facing", "colour", "g"):
                if getattr(self, key) is not None:
                    raise ValueError(f"no sun falls on a side that faces the {self.faces}; remove {key}")
        if self.faces == "attic" and self.g:
            raise ValueError("no sun comes through a ceiling under an attic; remove g")
        return self


class FloorTable(Table):
    """[room.floor]: the floor slab and the ground under it."""

    build: Annotated[str, BeforeValidator(field_types.read_floor_build)] = "bare slab"
    edge: field_types.Resistance = 0.0
    edge_depth: field_types.Length | None = None
    soil: Annotated[str, field_types.word(data.soils, "a kind of ground")] = "clay or silt"
    method: Annotated[str, field_types.word(("ISO 13370", "F-factor"), "a method for the ground")] = "ISO 13370"


class LightsTable(Table):
    """[room.lights]: grow lights."""

    power: field_types.Watts
    hours: field_types.Times = ALWAYS
    to_bed: field_types.Share = 0.3


class RoomTable(Table):
    """[room]: the room that the system stands in."""

    length: field_types.Length
    width: field_types.Length
    height: field_types.Length
    air_changes: Annotated[float | str, BeforeValidator(field_types.read_air_changes)] = "ordinary"
    leakage_area: field_types.LeakageArea = 0.0
    bridges: Annotated[float | str, BeforeValidator(field_types.read_bridges)] = "usual"
    door_openings: Annotated[float, field_types.number(0.0, 500.0, "a number of door openings per day")] = 0.0
    temperature: field_types.AirTemperature | None = None
    humidity: field_types.Share = 0.6
    house_temperature: field_types.AirTemperature = 20.0
    night_temperature: field_types.AirTemperature | None = None
    house_night_temperature: field_types.AirTemperature | None = None
    night_hours: field_types.Times | None = None
    side: Annotated[list[SideTable], Field(max_length=50)] = []
    floor: FloorTable = FloorTable()
    lights: LightsTable | None = None

    @model_validator(mode="after")
    def _check_envelope(self) -> RoomTable:
        if self.temperature is None and not self.side:
            raise ValueError(
                'the room has no sides; write a [[room.side]] for each, or the air temperature, temperature = "16 degC"'
            )
        return self

    @model_validator(mode="after")
    def _check_nights(self) -> RoomTable:
        if self.night_temperature is not None and self.temperature is None:
            raise ValueError(
                "night_temperature goes with temperature, the air of a heated room by day; for a house that is heated"
                " less at night write house_night_temperature"
            )
        if self.night_hours is not None and self.night_temperature is None and self.house_night_temperature is None:
            raise ValueError(
                "night_hours goes with night_temperature or house_night_temperature; write one, or remove it"
            )
        return self


class HutTable(Table):
    """[hut]: a curtain, tent or foam hut round the system, inside the room."""

    length: field_types.Length
    width: field_types.Length
    height: field_types.Length
    build: Annotated[str, BeforeValidator(field_types.read_hut_build)] = "plastic curtain"
    air_changes: Annotated[float, field_types.number(0.0, 50.0, "a number of air changes per hour")] | None = None
    air_from: Annotated[str, field_types.word(AIR_FROM, "something that a hut can take its air from")] = "room"

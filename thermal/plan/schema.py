"""The keys of the plan file: one pydantic model for each TOML table; the meaning of each key is in `plan_keys.toml`.

Quantities are read from text with a unit to SI; presets are checked and stay names.
"""

from __future__ import annotations

import tomllib
from importlib.resources import files
from string import Template
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from thermal import data
from thermal.core.quantities import TEMPERATURE
from thermal.core.schedule import ALWAYS
from thermal.plan import field_types

PRESETS = ("builds", "fills", "floors", "huts", "leakage", "materials", "soils", "species", "tops")


def key_texts(table: type[BaseModel]) -> dict[str, dict[str, Any]]:
    """Text and examples of each key of a table, from `plan_keys.toml`; a bed has the keys of a tank too."""
    texts = tomllib.loads((files("thermal") / "plan" / "plan_keys.toml").read_text("utf-8"))
    parents = [cls.__name__.removesuffix("Table").lower() for cls in reversed(table.__mro__)]
    return {key: row for parent in parents for key, row in texts.get(parent, {}).items()}


def _describe_keys(schema: dict[str, Any], table: type[BaseModel]) -> None:
    """Add the meaning of a table's keys to its JSON Schema."""
    names = {preset: ", ".join(f'"{name}"' for name in data.raw_table(preset)) for preset in PRESETS}
    for key, row in key_texts(table).items():
        schema["properties"][key]["description"] = Template(row["text"]).substitute(names)
        if "examples" in row:
            schema["properties"][key]["examples"] = row["examples"]


class Table(BaseModel):
    """A TOML table: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, json_schema_extra=_describe_keys)


class ShowTable(Table):
    """[show]: how the answer is printed."""

    units: Annotated[str, field_types.word(("metric", "us", "imperial"), "a unit system")] = "metric"


class ClimateTable(Table):
    """[climate]: the weather to plan with."""

    series: Annotated[str, Field(max_length=80)] = ""
    file: Annotated[str, Field(max_length=400)] = ""
    winters: Annotated[tuple[int, ...], BeforeValidator(field_types.read_winters)] = ()
    site_elevation: field_types.Elevation | None = None
    coldest_night: field_types.AirTemperature | None = None

    @model_validator(mode="after")
    def _one_origin(self) -> ClimateTable:
        if bool(self.series) == bool(self.file):
            raise ValueError('write either series = "name" or file = "hours.csv"')
        return self


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
    night_top: field_types.TopWord | None = None
    stands_on: field_types.StandsOn = "slab"

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


class PumpTable(Table):
    """[pump]: the pump between tanks and beds."""

    flow: field_types.Flow = 0.0
    power: field_types.Watts = 0.0
    hours: field_types.Times = ALWAYS


class SideTable(Table):
    """[[room.side]]: a wall, door, window or ceiling."""

    name: Annotated[str, Field(max_length=80)] = "side"
    area: field_types.Area
    build: Annotated[str, BeforeValidator(field_types.read_build)]
    faces: Annotated[
        str, field_types.word(("outdoors", "house", "attic", "ground"), "something that a side can face")
    ] = "outdoors"
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


class FloorTable(Table):
    """[room.floor]: the floor slab and the ground under it."""

    build: Annotated[str, BeforeValidator(field_types.read_floor_build)] = "bare slab"
    edge: field_types.Resistance = 0.0
    edge_depth: field_types.Length | None = None
    soil: Annotated[str, field_types.word(data.soils, "a kind of ground")] = "clay or silt"


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
    door_openings: Annotated[float, field_types.number(0.0, 500.0, "a number of door openings per day")] = 0.0
    temperature: field_types.AirTemperature | None = None
    humidity: field_types.Share = 0.6
    house_temperature: field_types.AirTemperature = 20.0
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


class HutTable(Table):
    """[hut]: a curtain, tent or foam hut round the system, inside the room."""

    length: field_types.Length
    width: field_types.Length
    height: field_types.Length
    build: Annotated[str, BeforeValidator(field_types.read_hut_build)] = "plastic curtain"
    air_changes: Annotated[float, field_types.number(0.0, 50.0, "a number of air changes per hour")] | None = None


class GainTable(Table):
    """[[gain]]: any other electrical device."""

    name: Annotated[str, Field(max_length=80)] = "gain"
    power: field_types.Watts
    hours: field_types.Times = ALWAYS
    where: Annotated[str, field_types.word(("water", "room"), "a place for heat")] = "room"


class HeaterTable(Table):
    """[heater]: where the heat goes, and the heaters you own."""

    where: Annotated[str, field_types.word(("water", "room"), "a place for heat")] = "water"
    units: Annotated[list[field_types.Watts], Field(max_length=20)] = []
    reserve: field_types.Share = 0.2


class PeriodTable(Table):
    """[[power.period]]: hours with a price of their own."""

    months: list[Annotated[int, Field(ge=1, le=12)]] = list(range(1, 13))
    weekdays: list[Annotated[str, field_types.word(("mon", "tue", "wed", "thu", "fri", "sat", "sun"), "a weekday")]] = [
        "mon", "tue", "wed", "thu", "fri", "sat", "sun",
    ]  # fmt: skip
    hours: field_types.Times = ALWAYS
    price: field_types.Price


class TierTable(Table):
    """[[power.tier]]: a price above a monthly use."""

    above: field_types.Energy
    price: field_types.Price


class PowerTable(Table):
    """[power]: price of electricity, and the circuit."""

    currency: Annotated[str, Field(max_length=8)] = "USD"
    price: field_types.Price = 0.17
    period: Annotated[list[PeriodTable], Field(max_length=50)] = []
    tier: Annotated[list[TierTable], Field(max_length=10)] = []
    household: field_types.Energy = 0.0
    monthly_charge: field_types.Price = 0.0
    circuit: Annotated[str, BeforeValidator(field_types.read_circuit)] | None = None

    @model_validator(mode="after")
    def _periods_or_tiers(self) -> PowerTable:
        if self.period and self.tier:
            raise ValueError("a tariff has either [[power.period]] or [[power.tier]]; remove one of them")
        return self


class WaterTable(Table):
    """[water]: tap water added or changed."""

    tap_temperature: field_types.WaterTemperature = 10.0
    change_per_day: field_types.Volume = 0.0
    top_off_per_day: field_types.Volume = 0.0


class MeasureTable(Table):
    """[[measure]]: an improvement to compare, with its price."""

    name: Annotated[str, Field(max_length=120)]
    cost: Annotated[float, field_types.number(0.0, 1e7, "a cost")]
    set: Annotated[dict[str, Any], Field(min_length=1, max_length=20)]


class FitTable(Table):
    """[fit]: correction factors that `overwinter fit` writes."""

    air_change: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    room: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    mass: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    water: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    cover: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0


class UnknownTable(Table):
    """[[unknown]]: a value known only within a range."""

    key: Annotated[str, Field(max_length=120)]
    name: Annotated[str, Field(max_length=80)] = ""
    low: float | Annotated[str, Field(max_length=80)]
    likely: float | Annotated[str, Field(max_length=80)] | None = None
    high: float | Annotated[str, Field(max_length=80)]

    @model_validator(mode="after")
    def _numbers_in_order(self) -> UnknownTable:
        low, likely, high, _ = self.range
        if not min(low, high) <= likely <= max(low, high):
            raise ValueError(
                f"likely ({likely:g}) lies outside low and high ({low:g} to {high:g}); write a value between them"
            )
        return self

    @property
    def range(self) -> tuple[float, float, float, str]:
        """Low, likely and high as numbers, and the text that they are in; ValueError where these texts differ."""
        low, form = field_types.number_within(self.low)
        high, high_form = field_types.number_within(self.high)
        middle = 0.5 * (low + high), form
        likely, likely_form = middle if self.likely is None else field_types.number_within(self.likely)
        if not form == high_form == likely_form:
            raise ValueError(
                'low, likely and high must be written alike, in one unit; write for example "16 degC" and "20 degC"'
            )
        return low, likely, high, form


class PlanTable(Table):
    """The whole plan file."""

    title: Annotated[str, Field(max_length=200)] = "My system"
    show: ShowTable = ShowTable()
    climate: ClimateTable
    keep: KeepTable
    tank: Annotated[list[TankTable], Field(min_length=1, max_length=50)]
    bed: Annotated[list[BedTable], Field(max_length=50)] = []
    pump: PumpTable = PumpTable()
    room: RoomTable
    hut: HutTable | None = None
    gain: Annotated[list[GainTable], Field(max_length=50)] = []
    heater: HeaterTable = HeaterTable()
    power: PowerTable = PowerTable()
    water: WaterTable = WaterTable()
    measure: Annotated[list[MeasureTable], Field(max_length=12)] = []
    unknown: Annotated[list[UnknownTable], Field(max_length=30)] = []
    fit: FitTable = FitTable()

    @model_validator(mode="after")
    def _hut_in_its_room(self) -> PlanTable:
        if self.hut is None:
            return self
        room, hut = self.room, self.hut
        if room.temperature is not None:
            raise ValueError(
                "hut: not possible in a room of given temperature; remove the room's temperature, or the hut"
            )
        if room.leakage_area:
            raise ValueError("hut: not possible with the room's leakage_area; write the room's air_changes instead")
        for side in ("length", "width", "height"):
            if getattr(hut, side) > getattr(room, side):
                raise ValueError(
                    f"hut, {side}: {getattr(hut, side):g} m is more than the room's {getattr(room, side):g} m;"
                    " write at most that"
                )
        return self

    @model_validator(mode="after")
    def _cheap_hours_of_a_tariff(self) -> PlanTable:
        if self.keep.cheap_hours is not None and not self.power.period:
            raise ValueError("keep, cheap_hours: every hour has the same price; write [[power.period]] prices")
        if self.keep.cheap_hours is not None and self.heater.where == "room":
            raise ValueError('keep, cheap_hours: heat is stored in the water; write heater where = "water"')
        return self

    @model_validator(mode="after")
    def _check_given_air(self) -> PlanTable:
        if self.room.temperature is not None and self.heater.where == "room":
            raise ValueError(
                'heater, where: "room" has nothing to heat, since the room has a given temperature; write "water", or'
                " remove the room's temperature"
            )
        return self

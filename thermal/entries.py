"""The plan file's keys and what each may hold: pydantic models, one a TOML table.

Quantities arrive as text with a unit and leave as SI floats; presets leave as their names, checked.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from thermal import layers, tables, units
from thermal.plan import ALWAYS, Hours
from thermal.units import Kind


def _quantity(kind: Kind, low: float, high: float, above: bool = False) -> Any:
    """A pydantic type for a written quantity within bounds (`above`: the lower one excluded)."""

    def read(value: object) -> float:
        number = units.parse(value, kind)  # type: ignore[arg-type]
        if number < low or number > high or (above and number <= low):
            raise ValueError(f"{value!r} is out of range: {kind.noun} here is between {low:g} and {high:g} {kind.si}")
        return number

    return Annotated[float, BeforeValidator(read)]


def _number(low: float, high: float, what: str) -> Any:
    """A pydantic type for a bare number within bounds."""

    def read(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise ValueError(f"{value!r} is not a plain number; write {what} without quotes")
        if not low <= value <= high:
            raise ValueError(f"{value!r} is out of range: {what} is between {low:g} and {high:g}")
        return float(value)

    return Annotated[float, BeforeValidator(read)]


def _word(known: Callable[[], Mapping[str, object]] | tuple[str, ...], what: str) -> Any:
    """A pydantic type for one of a set of words."""

    def read(value: object) -> str:
        words = known() if callable(known) else known
        if not isinstance(value, str) or value.strip().lower() not in {one.lower() for one in words}:
            raise ValueError(f"{value!r} is not {what}; {layers.nearest(str(value)[:60], words)}")
        return next(one for one in words if one.lower() == value.strip().lower())

    return Annotated[str, BeforeValidator(read)]


def _hours(value: object) -> Hours:
    """Times such as "always", "06:00-22:00" or several such ranges, as the share of each hour of the day."""
    if value == "always":
        return ALWAYS
    if value in ("never", []):
        return (0.0,) * 24
    ranges = value if isinstance(value, list) else [value]
    minutes = [0] * 1440
    for one in ranges:
        match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})\s*", str(one))
        if not match or int(match[2]) > 59 or int(match[4]) > 59:
            raise ValueError(f'{one!r} is not a time range; write "always" or such as "06:00-22:00"')
        start, end = int(match[1]) * 60 + int(match[2]), int(match[3]) * 60 + int(match[4])
        if start > 1440 or end > 1440:
            raise ValueError(f"{one!r} runs past 24:00")
        for minute in range(start, end if end > start else end + 1440):
            minutes[minute % 1440] = 1
    return tuple(sum(minutes[60 * h : 60 * h + 60]) / 60 for h in range(24))


def _layers(value: object) -> str:
    layers.resistance(value)  # type: ignore[arg-type]
    return str(value)


def _base(value: object) -> str:
    """Slab, frame, or layers on the slab."""
    if isinstance(value, str) and value.strip().lower() in ("slab", "frame"):
        return value.strip().lower()
    match = re.fullmatch(r"(.+?)\s+on\s+(slab|frame)", str(value).strip(), re.IGNORECASE)
    if not match:
        raise ValueError(f'{value!r} is not a base; write "slab", "frame" or such as "XPS 25 mm on slab"')
    layers.resistance(match[1])
    return str(value).strip()


def _top(value: object) -> str:
    """A cover preset, or layers used as a snug lid."""
    return _preset_or_layers(value, tables.tops(), "a cover")


def _build(value: object) -> str:
    """A side preset, layers or a bare R."""
    return _preset_or_layers(value, tables.builds(), "a side")


def _floor_build(value: object) -> str:
    return _preset_or_layers(value, tables.floors(), "a floor")


def _preset_or_layers(value: object, presets: Mapping[str, object], what: str) -> str:
    text = str(value).strip()
    if text.lower() in {name.lower() for name in presets}:
        return next(name for name in presets if name.lower() == text.lower())
    try:
        layers.resistance(text)
    except ValueError as fault:
        if re.search(r"\d", text) and "is neither" not in str(fault):
            raise
        raise ValueError(f"{value!r} is not {what}; {layers.nearest(text[:60], presets)}") from None
    return text


def _air_changes(value: object) -> float | str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not (math.isfinite(value) and 0 <= value <= 50):
            raise ValueError(f"{value!r} is out of range: air changes an hour are between 0 and 50")
        return float(value)
    words = tables.leakage()
    if str(value).strip().lower() not in words:
        raise ValueError(
            f"{value!r} is not an air change; write a number per hour, or {layers.nearest(str(value), words)}"
        )
    return str(value).strip().lower()


def _winters(value: object) -> tuple[int, ...]:
    """The word "all" (as an empty tuple) or the starting years."""
    if value == "all":
        return ()
    years = value if isinstance(value, list) else [value]
    if not years or len(years) > 100 or not all(type(year) is int and 1800 <= year <= 2200 for year in years):
        raise ValueError(
            f'{str(value)[:60]!r} is not a choice of winters; write "all" or starting years such as [2016, 2017]'
        )
    return tuple(sorted(set(years)))


def _circuit(value: object) -> str:
    if not re.fullmatch(r"\s*\d+(\.\d+)?\s*A\s+\d+(\.\d+)?\s*V\s*", str(value)):
        raise ValueError(f'{value!r} is not a circuit; write amperes and volts such as "15 A 120 V"')
    return str(value).strip()


Length = _quantity(units.LENGTH, 0.0, 200.0, above=True)
Area = _quantity(units.AREA, 0.0, 1e4, above=True)
Flow = _quantity(units.VOLUME_FLOW, 0.0, 0.1)
Volume = _quantity(units.VOLUME, 0.0, 1e3)
Watts = _quantity(units.POWER, 0.0, 1e5)
WaterTemperature = _quantity(units.TEMPERATURE, 0.0, 40.0)
AirTemperature = _quantity(units.TEMPERATURE, -60.0, 50.0)
Elevation = _quantity(units.LENGTH, -430.0, 6000.0)
Share = _quantity(units.SHARE, 0.0, 1.0)
Resistance = _quantity(units.RESISTANCE, 0.0, 20.0)
LeakageArea = _quantity(units.AREA, 0.0, 2.0)
Times = Annotated[Hours, BeforeValidator(_hours)]
Layers = Annotated[str, BeforeValidator(_layers)]
Base = Annotated[str, BeforeValidator(_base)]
TopWord = Annotated[str, BeforeValidator(_top)]
Price = _number(0.0, 1e4, "a price")


class Entry(BaseModel):
    """A TOML table: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class ShowEntry(Entry):
    """[show]"""

    units: _word(("metric", "us", "imperial"), "a unit system") = "metric"  # type: ignore[valid-type]


class ClimateEntry(Entry):
    """[climate]"""

    series: Annotated[str, Field(max_length=80)] = ""
    file: Annotated[str, Field(max_length=400)] = ""
    winters: Annotated[tuple[int, ...], BeforeValidator(_winters)] = ()
    site_elevation: Elevation | None = None
    coldest_night: AirTemperature | None = None

    @model_validator(mode="after")
    def _one_origin(self) -> ClimateEntry:
        if bool(self.series) == bool(self.file):
            raise ValueError('write either series = "name" or file = "hours.csv"')
        return self


class KeepEntry(Entry):
    """[keep]"""

    floor: WaterTemperature | None = None
    species: Annotated[list[_word(tables.species, "a species we have figures for")], Field(max_length=20)] = []  # type: ignore[valid-type]
    thermostat: WaterTemperature | None = None
    upper: WaterTemperature | None = None

    @model_validator(mode="after")
    def _temperatures_in_order(self) -> KeepEntry:
        if self.floor is None and not self.species:
            raise ValueError('write floor = "10 degC", or species = ["yellow perch"] for the warmest of their minima')
        if self.thermostat is not None and self.thermostat < self.coldest_allowed_c:
            raise ValueError(
                f"the floor ({self.coldest_allowed_c:g} degC) is above the thermostat ({self.thermostat:g} degC);"
                " the thermostat must be at or above the floor"
            )
        return self

    @property
    def coldest_allowed_c(self) -> float:
        """The floor: as written, or the warmest of the species' working minima."""
        if self.floor is not None:
            return self.floor
        return max(tables.species()[name.lower()].working_c for name in self.species)


class TankEntry(Entry):
    """[[tank]]"""

    name: Annotated[str, Field(max_length=80)] = "tank"
    shape: _word(("round", "rectangular"), "a shape") = "rectangular"  # type: ignore[valid-type]
    diameter: Length | None = None
    length: Length | None = None
    width: Length | None = None
    water_depth: Length
    height: Length | None = None
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    walls: Layers = "polyethylene 6 mm"
    insulation: Layers = "none"
    top: TopWord = "open"
    stands_on: Base = "slab"

    @model_validator(mode="after")
    def _sides_of_its_shape(self) -> TankEntry:
        due = ("diameter",) if self.shape == "round" else ("length", "width")
        if missing := [key for key in due if getattr(self, key) is None]:
            raise ValueError(f"a {self.shape} one needs {' and '.join(missing)}")
        other = {"diameter", "length", "width"} - set(due)
        if extra := sorted(key for key in other if getattr(self, key) is not None):
            raise ValueError(f"a {self.shape} one has no {' or '.join(extra)}; did you mean shape = another?")
        if self.height is not None and self.water_depth > self.height:
            raise ValueError(
                f"the water is deeper ({self.water_depth:g} m) than the vessel is high ({self.height:g} m)"
            )
        return self


class BedEntry(TankEntry):
    """[[bed]]"""

    name: Annotated[str, Field(max_length=80)] = "bed"
    fill: _word(tables.fills, "a bed fill") = "gravel"  # type: ignore[valid-type]
    flooding: _word(("flood and drain", "constant"), "a way of flooding") = "flood and drain"  # type: ignore[valid-type]
    wet: _number(0.0, 2.0, "a share of open-water evaporation") | None = None  # type: ignore[valid-type]
    stands_on: Base = "frame"


class PumpEntry(Entry):
    """[pump]"""

    flow: Flow = 0.0
    power: Watts = 0.0
    hours: Times = ALWAYS


class SideEntry(Entry):
    """[[room.side]]"""

    name: Annotated[str, Field(max_length=80)] = "side"
    area: Area
    build: Annotated[str, BeforeValidator(_build)]
    faces: _word(("outdoors", "house", "attic", "ground"), "what a side can face") = "outdoors"  # type: ignore[valid-type]
    stud_share: Share | None = None
    stud: Layers | None = None

    @model_validator(mode="after")
    def _stud_with_share(self) -> SideEntry:
        if (self.stud_share is None) != (self.stud is None):
            raise ValueError('stud_share and stud belong together, such as "15 %" and "softwood 90 mm"')
        if self.stud is not None and self.build in tables.builds():
            raise ValueError("a preset has its studs counted already; write the layers to use stud_share")
        return self


class FloorEntry(Entry):
    """[room.floor]"""

    build: Annotated[str, BeforeValidator(_floor_build)] = "bare slab"
    edge: Resistance = 0.0
    edge_depth: Length | None = None
    soil: _word(tables.soils, "a ground") = "clay or silt"  # type: ignore[valid-type]


class LightsEntry(Entry):
    """[room.lights]"""

    power: Watts
    hours: Times = ALWAYS
    to_bed: Share = 0.3


class RoomEntry(Entry):
    """[room]"""

    length: Length
    width: Length
    height: Length
    air_changes: Annotated[float | str, BeforeValidator(_air_changes)] = "ordinary"
    leakage_area: LeakageArea = 0.0
    door_openings: _number(0.0, 500.0, "door openings a day") = 0.0  # type: ignore[valid-type]
    temperature: AirTemperature | None = None
    humidity: Share = 0.6
    house_temperature: AirTemperature = 20.0
    side: Annotated[list[SideEntry], Field(max_length=50)] = []
    floor: FloorEntry = FloorEntry()
    lights: LightsEntry | None = None

    @model_validator(mode="after")
    def _closed(self) -> RoomEntry:
        if self.temperature is None and not self.side:
            raise ValueError("give the room its sides ([[room.side]]), or its air temperature (temperature = ...)")
        return self


class GainEntry(Entry):
    """[[gain]]"""

    name: Annotated[str, Field(max_length=80)] = "gain"
    power: Watts
    hours: Times = ALWAYS
    where: _word(("water", "room"), "a place for heat") = "room"  # type: ignore[valid-type]


class HeaterEntry(Entry):
    """[heater]"""

    where: _word(("water", "room"), "a place for heat") = "water"  # type: ignore[valid-type]
    units: Annotated[list[Watts], Field(max_length=20)] = []
    reserve: Share = 0.2


class PeriodEntry(Entry):
    """[[power.period]]"""

    months: list[Annotated[int, Field(ge=1, le=12)]] = list(range(1, 13))
    weekdays: list[_word(("mon", "tue", "wed", "thu", "fri", "sat", "sun"), "a weekday")] = [  # type: ignore[valid-type]
        "mon", "tue", "wed", "thu", "fri", "sat", "sun",
    ]  # fmt: skip
    hours: Times = ALWAYS
    price: Price


class PowerEntry(Entry):
    """[power]"""

    currency: Annotated[str, Field(max_length=8)] = "USD"
    price: Price = 0.17
    period: Annotated[list[PeriodEntry], Field(max_length=50)] = []
    monthly_charge: Price = 0.0
    circuit: Annotated[str, BeforeValidator(_circuit)] | None = None


class WaterEntry(Entry):
    """[water]"""

    tap_temperature: WaterTemperature = 10.0
    change_per_day: Volume = 0.0


class MeasureEntry(Entry):
    """[[measure]]"""

    name: Annotated[str, Field(max_length=120)]
    cost: _number(0.0, 1e7, "a cost")  # type: ignore[valid-type]
    set: Annotated[dict[str, Any], Field(min_length=1, max_length=20)]


class PlanEntry(Entry):
    """The whole plan file."""

    title: Annotated[str, Field(max_length=200)] = "My system"
    show: ShowEntry = ShowEntry()
    climate: ClimateEntry
    keep: KeepEntry
    tank: Annotated[list[TankEntry], Field(min_length=1, max_length=50)]
    bed: Annotated[list[BedEntry], Field(max_length=50)] = []
    pump: PumpEntry = PumpEntry()
    room: RoomEntry
    gain: Annotated[list[GainEntry], Field(max_length=50)] = []
    heater: HeaterEntry = HeaterEntry()
    power: PowerEntry = PowerEntry()
    water: WaterEntry = WaterEntry()
    measure: Annotated[list[MeasureEntry], Field(max_length=12)] = []

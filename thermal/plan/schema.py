"""The keys of the plan file: one pydantic model for each TOML table; the meaning of each key is in `plan_keys.toml`.

Quantities are read from text with a unit to SI; presets are checked and stay names. This module has the whole plan and
the tables of climate, tariff, measures, other ways and unknowns.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StrictBool, model_validator

from thermal.core.quantities import TEMPERATURE
from thermal.core.schedule import ALWAYS, WEEKDAYS
from thermal.data.other_ways import other_ways
from thermal.plan import circuits, field_types
from thermal.plan.damp_tables import DehumidifierTable, FanTable
from thermal.plan.devices import THERMOSTAT_ABOVE_FLOOR_K
from thermal.plan.heat_tables import OtherHeatTable
from thermal.plan.room_tables import HutTable, RoomTable
from thermal.plan.system_tables import (
    SIDES,
    BarrelTable,
    BedTable,
    GainTable,
    HeaterTable,
    KeepTable,
    PipeTable,
    PumpTable,
    TankTable,
    WaterTable,
)
from thermal.plan.table import Table
from thermal.plan.written_for import read_version


class ShowTable(Table):
    """[show]: how the answer is printed."""

    units: Annotated[str, field_types.word(("metric", "us", "imperial"), "a unit system")] = "metric"


class ClimateTable(Table):
    """[climate]: the weather to plan with."""

    series: Annotated[str, Field(max_length=80)] = ""
    file: Annotated[str, Field(max_length=400)] = ""
    winters: Annotated[tuple[int, ...], BeforeValidator(field_types.read_winters)] = ()
    site_elevation: field_types.Elevation | None = None
    coldest_night: field_types.ColdestNight | None = None
    latitude: Annotated[float, Field(ge=-90, le=90)] | None = None
    longitude: Annotated[float, Field(ge=-180, le=180)] | None = None
    annual_mean: field_types.AirTemperature | None = None
    sun: StrictBool = True
    sky: StrictBool = True
    monthly_mean: Annotated[tuple[float, ...], BeforeValidator(field_types.read_monthly_mean)] = ()
    record_low: field_types.AirTemperature | None = None

    @model_validator(mode="after")
    def _one_origin(self) -> ClimateTable:
        if bool(self.series) == bool(self.file):
            raise ValueError('write either series = "name" or file = "hours.csv"')
        if (self.latitude is None) != (self.longitude is None):
            raise ValueError("write latitude and longitude together, or neither")
        if self.record_low is not None and not self.monthly_mean:
            raise ValueError(
                "record_low: goes with monthly_mean, the 12 monthly means of your town; for the cold spell alone write"
                " coldest_night"
            )
        return self


class PeriodTable(Table):
    """[[power.period]]: hours with a price of their own."""

    months: list[Annotated[int, Field(ge=1, le=12)]] = list(range(1, 13))
    weekdays: list[Annotated[str, field_types.word(WEEKDAYS, "a weekday")]] = [*WEEKDAYS]
    hours: field_types.Times = ALWAYS
    price: field_types.Price


class TierTable(Table):
    """[[power.tier]]: a price above a monthly use."""

    above: field_types.Energy
    price: field_types.Price


class PowerTable(Table):
    """[power]: price of electricity, and the circuits."""

    currency: Annotated[str, Field(max_length=8)] = "USD"
    price: field_types.Price = 0.17
    period: Annotated[list[PeriodTable], Field(max_length=50)] = []
    tier: Annotated[list[TierTable], Field(max_length=10)] = []
    household: field_types.Energy = 0.0
    monthly_charge: field_types.Price = 0.0
    circuit: circuits.Circuits = ()

    @model_validator(mode="after")
    def _periods_or_tiers(self) -> PowerTable:
        if self.period and self.tier:
            raise ValueError("a tariff has either [[power.period]] or [[power.tier]]; remove one of them")
        return self


class MeasureTable(Table):
    """[[measure]]: an improvement to compare, with its price."""

    name: Annotated[str, Field(max_length=120)]
    cost: Annotated[float, field_types.number(0.0, 1e7, "a cost")]
    set: Annotated[dict[str, Any], Field(min_length=1, max_length=20)]


class OtherWayTable(Table):
    """[[other_way]]: your price for another way to heat or run the system."""

    name: Annotated[str, field_types.word(other_ways, "one of the other ways of `overwinter compare`")]
    cost: Annotated[float, field_types.number(0.0, 1e7, "a cost")]


class FitTable(Table):
    """[fit]: correction factors that `overwinter fit` writes."""

    air_change: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    room: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    mass: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    water: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    cover: Annotated[float, field_types.number(0.02, 50.0, "a factor")] = 1.0
    air_change_sd: Annotated[float, field_types.number(0.0, 1.0, "a standard deviation")] | None = None
    room_sd: Annotated[float, field_types.number(0.0, 1.0, "a standard deviation")] | None = None
    mass_sd: Annotated[float, field_types.number(0.0, 1.0, "a standard deviation")] | None = None
    water_sd: Annotated[float, field_types.number(0.0, 1.0, "a standard deviation")] | None = None
    cover_sd: Annotated[float, field_types.number(0.0, 1.0, "a standard deviation")] | None = None
    residual: Annotated[float, field_types.number(0.0, 1.0, "a standard deviation")] | None = None


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
    written_for: Annotated[str, BeforeValidator(read_version)] = ""
    show: ShowTable = ShowTable()
    climate: ClimateTable
    keep: KeepTable
    tank: Annotated[list[TankTable], Field(min_length=1, max_length=50)]
    bed: Annotated[list[BedTable], Field(max_length=50)] = []
    pump: PumpTable = PumpTable()
    pipe: Annotated[list[PipeTable], Field(max_length=50)] = []
    barrel: Annotated[list[BarrelTable], Field(max_length=20)] = []
    room: RoomTable
    hut: HutTable | None = None
    gain: Annotated[list[GainTable], Field(max_length=50)] = []
    dehumidifier: DehumidifierTable | None = None
    fan: FanTable | None = None
    heater: HeaterTable = HeaterTable()
    power: PowerTable = PowerTable()
    water: WaterTable = WaterTable()
    measure: Annotated[list[MeasureTable], Field(max_length=12)] = []
    other_way: Annotated[list[OtherWayTable], Field(max_length=50)] = []
    other_heat: OtherHeatTable = OtherHeatTable()
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
        for side in ("length", "width", "height"):
            if getattr(hut, side) > getattr(room, side):
                raise ValueError(
                    f"hut, {side}: {getattr(hut, side):g} m is more than the room's {getattr(room, side):g} m;"
                    " write at most that"
                )
        return self

    @model_validator(mode="after")
    def _hut_air_from_a_known_house(self) -> PlanTable:
        known = "house_temperature" in self.room.model_fields_set or any(s.faces == "house" for s in self.room.side)
        if self.hut is not None and self.hut.air_from == "house" and not known:
            raise ValueError(
                'hut, air_from: the temperature of the house is unknown; write house_temperature = "20 degC" in [room]'
            )
        return self

    @model_validator(mode="after")
    def _barrels_in_simulated_air(self) -> PlanTable:
        if self.barrel and self.room.temperature is not None:
            raise ValueError(
                "barrel: in a room of given temperature barrels change nothing; remove them, or the room's temperature"
            )
        if self.hut is not None and len({barrel.where for barrel in self.barrel}) > 1:
            raise ValueError(
                'barrel: some stand in the hut and some outside; write the same where for all, "system" or "room"'
            )
        return self

    @model_validator(mode="after")
    def _sides_to_a_known_house(self) -> PlanTable:
        facing = [
            f"{kind} {number} ({vessel.name!r}), {side}"
            for kind in ("tank", "bed")
            for number, vessel in enumerate(getattr(self, kind), start=1)
            for side in SIDES
            if getattr(vessel, side) == "house"
        ]
        if facing and "house_temperature" not in self.room.model_fields_set:
            raise ValueError(
                f'{facing[0]}: it faces a house of unknown temperature; write house_temperature = "20 degC" in [room]'
            )
        to_house = facing or any(side.faces == "house" for side in self.room.side)
        to_house = to_house or (self.hut is not None and self.hut.air_from == "house")
        if self.room.house_night_temperature is not None and not to_house:
            raise ValueError(
                "room, house_night_temperature: no side of the room faces the house, and none of a tank; write"
                ' faces = "house" on one, or remove the key'
            )
        return self

    @model_validator(mode="after")
    def _one_price_for_a_way(self) -> PlanTable:
        names = [way.name for way in self.other_way]
        if twice := next((name for name in names if names.count(name) > 1), None):
            raise ValueError(f"other_way: {twice!r} stands in two tables [[other_way]]; remove one of them")
        return self

    @model_validator(mode="after")
    def _cheap_hours_of_a_tariff(self) -> PlanTable:
        if self.keep.cheap_hours is not None and not self.power.period:
            raise ValueError("keep, cheap_hours: every hour has the same price; write [[power.period]] prices")
        if self.keep.cheap_hours is not None and self.heater.where == "room":
            raise ValueError('keep, cheap_hours: heat is stored in the water; write heater where = "water"')
        return self

    @model_validator(mode="after")
    def _cut_out_above_thermostat(self) -> PlanTable:
        keep, cut_out = self.keep, self.heater.cut_out
        usual = keep.coldest_allowed_c + THERMOSTAT_ABOVE_FLOOR_K
        highest = max(usual if keep.thermostat is None else keep.thermostat, keep.cheap_hours or 0.0)
        if cut_out is not None and cut_out < highest:
            raise ValueError(
                f"heater, cut_out: {TEMPERATURE.bound(cut_out)} is below the thermostat of"
                f" {TEMPERATURE.bound(highest)}, which the water would never reach; write a cut_out at or above it"
            )
        return self

    @model_validator(mode="after")
    def _check_given_air(self) -> PlanTable:
        if self.room.temperature is not None and any(gain.vapour is not None for gain in self.gain):
            raise ValueError(
                "gain, vapour: changes nothing in a room of given temperature, whose humidity is given too; remove"
                " vapour, or the room's temperature"
            )
        if self.room.temperature is not None and self.heater.where == "room":
            raise ValueError(
                'heater, where: "room" has nothing to heat, since the room has a given temperature; write "water", or'
                " remove the room's temperature"
            )
        return self

    @model_validator(mode="after")
    def _drying_of_simulated_air(self) -> PlanTable:
        for name, device in (("dehumidifier", self.dehumidifier), ("fan", self.fan)):
            if device is not None and self.room.temperature is not None:
                raise ValueError(
                    f"{name}: changes nothing in a room of given temperature, whose humidity is given too; remove the"
                    f" [{name}] table, or the room's temperature"
                )
        if self.fan is not None and self.hut is not None:
            raise ValueError(
                "fan: it brings outdoor air into the room, but with a hut only the hut's humidity is worked out; remove"
                " the [fan] table, or the hut"
            )
        return self

    @model_validator(mode="after")
    def _collector_above_minimum(self) -> PlanTable:
        collector, minimum = self.other_heat.collector, self.keep.coldest_allowed_c
        if collector and collector.max_temperature is not None and collector.max_temperature <= minimum:
            raise ValueError(
                f"other_heat, collector, max_temperature: {TEMPERATURE.bound(collector.max_temperature)} is not above"
                f" the minimum water temperature of {TEMPERATURE.bound(minimum)}, so the collector would never help"
            )
        return self

    @model_validator(mode="after")
    def _other_heat_of_simulated_air(self) -> PlanTable:
        if self.room.temperature is not None and (into_air := self.other_heat.into_air):
            raise ValueError(
                f"other_heat, {into_air}: its heat would not change the room, whose temperature is given; remove the"
                " room's temperature and write its sides, or remove this table"
            )
        return self

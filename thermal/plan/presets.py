"""The resolved plan from the tables of a plan file: presets looked up, areas and heat capacities calculated."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from thermal import data
from thermal.core.distributions import TriangularRange
from thermal.core.facings import ROOF, UNKNOWN
from thermal.core.schedule import NEVER, WEEKDAYS, DailySchedule
from thermal.data import constructions, small_losses
from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.physics.bed_heat_capacity import bed_capacity, running_water_share, water_capacity
from thermal.physics.infiltration import leakage_area
from thermal.physics.transpiration import transpiration_rate
from thermal.physics.wall_resistance import framed_resistance, resistance_without_films
from thermal.plan.circuits import circuit_rating
from thermal.plan.covers import cover, in_media, opening
from thermal.plan.damp_devices import drying_devices
from thermal.plan.devices import THERMOSTAT_ABOVE_FLOOR_K, Heater, Load, Pump, damp_load
from thermal.plan.field_types import run_and_period
from thermal.plan.model import ClimateChoice, Keep, Measure, Plan, Power, PricePeriod, Unknown
from thermal.plan.other_heat import other_heat_of
from thermal.plan.passive_water import Barrel
from thermal.plan.structure import FloorSlab, Hut, Pipe, Room, Side, Vessel
from thermal.plan.vessel_walls import base_of, facing_walls, surface_and_perimeter, wall_resistance

if TYPE_CHECKING:
    from thermal.plan import room_tables, schema, system_tables

LAYERED_SIDE_MASS = 15e3  # J/m2K, a lined timber wall, for sides written as layers; our judgement
DEFAULT_UPPER_C = 35.0  # common practice, no source
EVAPORATION_FORMULA = (0.8, 1.0, 1.2)  # factor on the correlation, whose tests scatter by some 20 %, Shah 2014
PIPE_WATER_SHARE = 0.8  # of a pipe's outer cross-section that is water: 40 mm with walls of 2 mm; from memory
DAYLIGHT: DailySchedule = (0.0,) * 8 + (1.0,) * 8 + (0.0,) * 8  # hours of a winter's day, for plants without lights
NIGHT_HOURS: DailySchedule = (1.0,) * 6 + (0.0,) * 16 + (1.0,) * 2  # 22:00 to 6:00, the setback of many houses


Sampler = Callable[[str, TriangularRange], float]


def nominal(unknown: str, triangular: TriangularRange) -> float:
    """The likely value of a preset, in its own unit.

    Parameters
    ----------
    unknown : str
        Name of the preset's value; not used.
    triangular : tuple of float
        Low, likely and high value.
    """
    return triangular[1]


def resolve_plan(entry: schema.PlanTable, sampler: Sampler = nominal) -> Plan:
    """The plan of the tables of a plan file, before its calibration factors are applied.

    Parameters
    ----------
    entry : PlanTable
        The checked tables.
    sampler : callable
        Takes the name of each preset's value, such as "air changes: ordinary", and its low, likely and high value;
        returns the value to use. The same name may occur twice.
    """
    keep, heater, climate = entry.keep, entry.heater, entry.climate
    floor_c = keep.coldest_allowed_c
    limits = tuple(data.species()[name.lower()] for name in keep.species)
    warmest_c = min([DEFAULT_UPPER_C, *(species.high_c for species in limits)])
    return Plan(
        title=entry.title,
        units=entry.show.units,
        climate=ClimateChoice(
            climate.series,
            climate.file,
            climate.winters,
            climate.site_elevation,
            climate.coldest_night if isinstance(climate.coldest_night, float) else None,
            climate.coldest_night != "none",
            sun=climate.sun,
            sky=climate.sky,
            position=None if climate.latitude is None else (climate.latitude, climate.longitude or 0.0),
            annual_mean_c=climate.annual_mean,
            monthly_mean_c=climate.monthly_mean,
            record_low_c=climate.record_low,
        ),
        keep=Keep(
            floor_c=floor_c,
            thermostat_c=floor_c + THERMOSTAT_ABOVE_FLOOR_K if keep.thermostat is None else keep.thermostat,
            upper_c=warmest_c if keep.upper is None else keep.upper,
            cheap_c=keep.cheap_hours,
            species=tuple(keep.species),
            limits=limits,
        ),
        tanks=tuple(_tank(table, sampler) for table in entry.tank),
        beds=tuple(_bed(table, entry.room.lights, sampler) for table in entry.bed),
        pump=_pump(entry.pump),
        room=_room(entry.room, sampler),
        hut=_hut(entry.hut, sampler) if entry.hut else None,
        loads=_loads(entry),
        heater=Heater(heater.where, tuple(heater.units), heater.reserve, heater.hours, heater.cut_out),
        power=_power(entry.power),
        tap_c=_tap(entry.water, sampler),
        start_c=entry.water.start_temperature,
        water_change_m3_s=entry.water.change_per_day / 86400.0,
        top_off_m3_s=entry.water.top_off_per_day / 86400.0,
        measures=tuple(Measure(item.name, item.cost, item.set) for item in entry.measure),
        way_costs=tuple((item.name, item.cost) for item in entry.other_way),
        other_heat=other_heat_of(entry.other_heat),
        unknowns=tuple(Unknown(item.name or item.key, item.key, *item.range) for item in entry.unknown),
        pipes=tuple(_pipe(table) for table in entry.pipe),
        barrels=tuple(_barrel(table) for table in entry.barrel),
        **drying_devices(entry),
        written_for=entry.written_for,
    )


def _pump(entry: system_tables.PumpTable) -> Pump:
    """The pump; the hours of one that pauses have the share that it runs."""
    duty = run_and_period(entry.duty) if entry.duty else None
    hours = tuple(share * (duty[0] / duty[1] if duty else 1.0) for share in entry.hours)
    return Pump(entry.flow, entry.power, hours, entry.in_water_share, duty)


def _tank(entry: system_tables.TankTable, sampler: Sampler) -> Vessel:
    """A tank, or a bed as if it were one."""
    area, perimeter = surface_and_perimeter(entry)
    elsewhere = facing_walls(entry)
    volume = entry.count * area * entry.water_depth
    base, base_r = base_of(entry)
    if base == "slab":
        base_r += _uncertain("contact under vessels", sampler)
    evaporation, lid_r = cover(entry.top, sampler)
    night = cover(entry.night_top, sampler) if entry.night_top else (evaporation, lid_r)
    formula = sampler("evaporation formula", EVAPORATION_FORMULA)
    capacity = float(water_capacity(volume))
    return Vessel(
        name=entry.name,
        count=entry.count,
        surface_m2=entry.count * area,
        wall_m2=max(entry.count * perimeter * entry.water_depth - sum(wall.area_m2 for wall in elsewhere), 0.0),
        bottom_m2=entry.count * area,
        depth_m=entry.water_depth,
        water_m3=volume,
        capacity_j_per_k=capacity,
        drained_j_per_k=capacity,
        drained_water_m3=volume,
        wall_r_m2k_per_w=wall_resistance(entry),
        base_r_m2k_per_w=base_r,
        base=base,
        evaporation=formula * evaporation,
        lid_r_m2k_per_w=lid_r,
        top=entry.top,
        insulation=entry.insulation,
        night_evaporation=formula * night[0],
        night_lid_r_m2k_per_w=night[1],
        opening=opening(entry, entry.count * area, formula, sampler),
        elsewhere=elsewhere,
        buried_m=entry.buried_depth or 0.0,
        breadth_m=2.0 * area / perimeter,
    )


def _bed(entry: system_tables.BedTable, lights: room_tables.LightsTable | None, sampler: Sampler) -> Vessel:
    """A bed: a tank whose water has media in it; with flood and drain, the mean of full and drained."""
    fill = data.fills()[entry.fill]
    as_tank = _tank(entry, sampler)
    volume = as_tank.water_m3
    drains = entry.flooding == "flood and drain"
    drained_share = fill.retained if drains else fill.porosity
    running_share = float(running_water_share(fill.porosity, drained_share))

    def capacity(share: float) -> float:
        return float(bed_capacity(volume, fill.solids_j_per_m3k, share))

    unknown = f"wet bed: {entry.fill}, {entry.flooding}"
    wet = sampler(unknown, fill.wet[entry.flooding]) if entry.wet is None else entry.wet
    return Vessel(
        **{
            **vars(as_tank),
            "water_m3": volume * running_share,
            "capacity_j_per_k": capacity(running_share),
            "drained_j_per_k": capacity(drained_share),
            "drained_water_m3": volume * drained_share,
            "evaporation": wet * as_tank.evaporation,
            "lid_r_m2k_per_w": fill.r_m2k_per_w + as_tank.lid_r_m2k_per_w,
            "night_evaporation": wet * as_tank.night_evaporation,
            "night_lid_r_m2k_per_w": fill.r_m2k_per_w + as_tank.night_lid_r_m2k_per_w,
            "opening": as_tank.opening and in_media(as_tank.opening, wet, fill.r_m2k_per_w),
            "transpiration_kg_s": _transpiration(entry, as_tank.surface_m2, lights, sampler),
        }
    )


def _transpiration(
    entry: system_tables.BedTable, area_m2: float, lights: room_tables.LightsTable | None, sampler: Sampler
) -> DailySchedule:
    """Vapour of a bed's plants by hour of the day: under the lamps, or by daylight where there are none. [kg/s]"""
    lit = lights is not None and lights.power > 0.0 and sum(lights.hours) > 0.0
    hours = lights.hours if lit and lights is not None else DAYLIGHT
    amount = entry.transpiration
    if amount == "none" or (amount == "usual" and entry.fill == "water"):  # a bed of bare water has no plants
        return NEVER
    if isinstance(amount, str):
        kind = "with lights" if lit else "without lights"
        amount = sampler(f"transpiration: {kind}", small_losses.transpiration()[kind])
    rate = float(transpiration_rate(amount, area_m2, sum(hours)))
    return tuple(rate * share for share in hours)


def _pipe(entry: system_tables.PipeTable) -> Pipe:
    """A pipe, with the water in it."""
    return Pipe(
        name=entry.name,
        length_m=entry.length,
        diameter_m=entry.diameter,
        insulation=entry.insulation,
        layers=constructions.layers(entry.insulation),
        where=entry.where,
        water_m3=PIPE_WATER_SHARE * math.pi * entry.diameter**2 / 4.0 * entry.length,
    )


def _barrel(entry: system_tables.BarrelTable) -> Barrel:
    """A group of barrels."""
    return Barrel(entry.name, entry.count, entry.volume, entry.where, constructions.resistance(entry.walls))


def _tap(entry: system_tables.WaterTable, sampler: Sampler) -> float:
    """Temperature of the tap water, as given or as it is in winter. [degC]"""
    if entry.tap_temperature is not None:
        return entry.tap_temperature
    return _uncertain("tap water temperature", sampler)


def _hut(entry: room_tables.HutTable, sampler: Sampler) -> Hut:
    """The hut."""
    preset = data.huts().get(entry.build)
    unknown = f"hut: {entry.build}"
    changes = sampler(unknown, (preset or data.huts()["foam hut"]).per_hour)
    return Hut(
        build=entry.build,
        floor_m2=entry.length * entry.width,
        skin_m2=entry.length * entry.width + 2.0 * (entry.length + entry.width) * entry.height,
        volume_m3=entry.length * entry.width * entry.height,
        r_m2k_per_w=sampler(unknown, preset.r_m2k_per_w) if preset else constructions.resistance(entry.build),
        air_changes_per_h=changes if entry.air_changes is None else entry.air_changes,
        air_from=entry.air_from,
    )


def _room(entry: room_tables.RoomTable, sampler: Sampler) -> Room:
    """The room."""
    changes, leak_cm2 = entry.air_changes, entry.leakage_area * 1e4
    if isinstance(changes, str):
        named = sampler(f"air changes: {changes}", data.leakage()[changes])
        leak_cm2 += float(leakage_area(named, entry.length * entry.width * entry.height))
    floor = entry.floor
    preset, by_perimeter = data.floors().get(floor.build), floor.method == "F-factor"
    return Room(
        length_m=entry.length,
        width_m=entry.width,
        height_m=entry.height,
        air_changes_per_h=0.0 if isinstance(changes, str) else changes,
        leakiness=str(changes),
        leakage_area_cm2=leak_cm2,
        door_openings_per_day=entry.door_openings,
        temperature_c=entry.temperature,
        humidity=entry.humidity,
        house_c=_house_temperature(entry, sampler),
        night_c=entry.night_temperature,
        house_night_c=entry.house_night_temperature,
        night_hours=entry.night_hours or NIGHT_HOURS,
        outdoor_humidity=_uncertain("humidity outdoors", sampler),
        sides=tuple(_side(table, _bridges(entry, sampler), sampler) for table in entry.side),
        floor=FloorSlab(
            build=floor.build,
            r_m2k_per_w=preset.r_m2k_per_w if preset else constructions.resistance(floor.build),
            mass_j_per_m2k=(preset or data.floors()["bare slab"]).mass_j_per_m2k,
            soil=floor.soil,
            soil_w_per_mk=sampler(f"ground: {floor.soil}", data.soils()[floor.soil][0]),
            soil_j_per_m3k=data.soils()[floor.soil][1],
            edge_r_m2k_per_w=floor.edge,
            edge_depth_m=floor.edge_depth or (0.6 if floor.edge else 0.0),
            outdoor_swing=1.0 if by_perimeter else _uncertain("ground: outdoor swing", sampler),
            by_perimeter=by_perimeter,
            yearly_mean_shift_k=_uncertain("ground: yearly mean outdoors", sampler),
        ),
        sky_below_k=_uncertain("sky below the air", sampler),
        sun_from_cloud=_uncertain("sun: from cloud", sampler),
        bridges=entry.bridges if isinstance(entry.bridges, str) else f"{entry.bridges:g} W/m²K",
    )


def _bridges(entry: room_tables.RoomTable, sampler: Sampler) -> float:
    """Addition for thermal bridges to the U-value of outer sides. [W/m2K]

    Where the plan does not state it, its range is part of that of the room's heat loss.
    """
    value = entry.bridges
    if not isinstance(value, str):
        return value
    spread = small_losses.bridges()[value]
    return sampler(f"thermal bridges: {value}", spread) if "bridges" in entry.model_fields_set else spread[1]


def _house_temperature(entry: room_tables.RoomTable, sampler: Sampler) -> float:
    """Temperature of the house, as stated; uncertain where it is not stated and a side faces the house. [degC]"""
    stated = "house_temperature" in entry.model_fields_set or all(side.faces != "house" for side in entry.side)
    return entry.house_temperature if stated else _uncertain("house temperature", sampler)


def _uncertain(name: str, sampler: Sampler) -> float:
    """The value of an uncertain input that no preset holds, in its own unit."""
    return sampler(name, uncertain_inputs()[name].spread)


def _side(entry: room_tables.SideTable, bridges_w_per_m2k: float, sampler: Sampler) -> Side:
    """One side of the room: a preset, or layers."""
    preset = data.builds().get(entry.build)
    if preset:
        u = sampler(f"side: {entry.build}", preset.u_w_per_m2k)
        r, mass = float(resistance_without_films(u)), preset.mass_j_per_m2k
    else:
        r, mass = _layers_resistance(entry.build, entry.stud, entry.stud_share), LAYERED_SIDE_MASS
    attic = {"attic_w_per_m2k": _uncertain("attic: roof", sampler)} if entry.faces == "attic" else {}
    outer = entry.faces in ("outdoors", "attic")
    return Side(
        entry.name,
        entry.area,
        r,
        mass,
        entry.faces,
        entry.build,
        bridges_w_per_m2k=bridges_w_per_m2k if outer else 0.0,
        facing=entry.facing or (ROOF if entry.faces == "attic" else UNKNOWN),
        absorptance=_absorptance(entry, sampler) if outer else 0.0,
        g=_sun_let_in(entry, sampler),
        **attic,
    )


def _absorptance(entry: room_tables.SideTable, sampler: Sampler) -> float:
    """Share of the sun that an outer surface takes up, by its colour; uncertain where that is not stated. [-]"""
    if entry.colour is not None:
        return data.colours()[entry.colour].absorptance
    return _uncertain("sun: colour of outer surfaces", sampler)


def _sun_let_in(entry: room_tables.SideTable, sampler: Sampler) -> float:
    """Share of the sun that a side lets in, as stated or as its preset has it. [-]"""
    if entry.g is not None:
        return entry.g
    preset = data.builds().get(entry.build)
    lets_in = entry.faces == "outdoors" and preset is not None and preset.g[1] > 0.0
    return sampler(f"sun: through {entry.build}", preset.g) if lets_in and preset is not None else 0.0


def _layers_resistance(build: str, stud: str | None, share: float | None) -> float:
    """Resistance of layers from surface to surface; studs, if any, bridge the best-insulating layer. [m2K/W]"""
    layers = [constructions.resistance(part.strip()) for part in build.split("+")]
    if stud is None or share is None:
        return sum(layers)
    return framed_resistance(layers, constructions.resistance(stud), share)


def _loads(entry: schema.PlanTable) -> tuple[Load, ...]:
    """Lights and other devices, with the share of their heat that goes to each place."""
    loads = []
    lights = entry.room.lights
    if lights is not None:
        to_bed = lights.to_bed if entry.bed else 0.0
        in_hut = 0.0 if entry.hut is None else 1.0 - to_bed  # lights hang over the beds
        to_air = 1.0 - to_bed - in_hut
        loads.append(Load("lights", lights.power, lights.hours, to_bed=to_bed, to_air=to_air, to_hut=in_hut))
    for item in entry.gain:
        in_water, power_w = item.where == "water", item.power or 0.0
        load = Load(item.name, power_w, item.hours, to_water=float(in_water), to_air=float(not in_water))
        loads.append(load if item.vapour is None else damp_load(load, item.vapour))
    return tuple(loads)


def _power(entry: schema.PowerTable) -> Power:
    """Tariff and circuit."""
    periods = tuple(
        PricePeriod(tuple(item.months), tuple(WEEKDAYS.index(day) for day in item.weekdays), item.hours, item.price)
        for item in entry.period
    )
    first = entry.circuit[0] if entry.circuit else ""
    watts = math.prod(circuit_rating(first)) if first else None
    tiers = tuple(sorted((tier.above, tier.price) for tier in entry.tier))
    charge = entry.monthly_charge
    return Power(entry.currency, entry.price, periods, charge, tiers, entry.household, first, watts, entry.circuit)

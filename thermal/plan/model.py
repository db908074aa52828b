"""The plan with every preset resolved and every figure in SI units, as frozen values; `presets.py` makes it."""

from __future__ import annotations

from dataclasses import dataclass, field

from thermal.core.schedule import DailySchedule
from thermal.data import Species
from thermal.plan.damp_devices import Dehumidifier, HumidityFan
from thermal.plan.devices import Heater, Load, Pump
from thermal.plan.other_heat import NO_OTHER_HEAT, OtherHeat, TriedHeat
from thermal.plan.passive_water import Barrel
from thermal.plan.structure import Hut, Pipe, Room, Vessel


@dataclass(frozen=True)
class PricePeriod:
    """Hours with a price of their own.

    Attributes
    ----------
    months : tuple of int
        Months of the year, 1 to 12.
    weekdays : tuple of int
        Days of the week, Monday 0.
    hours : tuple of float, (24,)
        Share of each hour of the day that the period covers [-].
    price : float
        The price [currency/kWh].
    """

    months: tuple[int, ...]
    weekdays: tuple[int, ...]
    hours: DailySchedule
    price: float


@dataclass(frozen=True)
class Power:
    """Price of electricity, and the circuits.

    Attributes
    ----------
    currency : str
        Name of the currency.
    price : float
        Price outside of all periods and below all tiers [currency/kWh].
    periods : tuple of PricePeriod
        Hours with other prices; the first that covers an hour applies.
    monthly_charge : float
        Standing charge [currency/month].
    tiers : tuple of (float, float)
        Use in a month above which a price applies [kWh], and that price [currency/kWh].
    household_kwh : float
        Use of the household in a month, which counts before the system's [kWh].
    circuit : str
        The first circuit as written, that of pump and lights; empty where none is given.
    circuit_w : float or None
        Amperes times volts of the first circuit [W].
    circuits : tuple of str
        All circuits as written, the first too; empty where none is given.
    """

    currency: str
    price: float
    periods: tuple[PricePeriod, ...]
    monthly_charge: float
    tiers: tuple[tuple[float, float], ...]
    household_kwh: float
    circuit: str
    circuit_w: float | None
    circuits: tuple[str, ...] = ()


@dataclass(frozen=True)
class Keep:
    """The water temperatures to keep.

    Attributes
    ----------
    floor_c : float
        Minimum water temperature [degC].
    thermostat_c : float
        Thermostat of the heaters [degC].
    upper_c : float
        Highest water temperature without a warning [degC].
    cheap_c : float or None
        Thermostat in the cheap hours of the tariff [degC]; None where it is the same.
    species : tuple of str
        Names of the species kept.
    limits : tuple of Species
        Water temperatures of each of them.
    """

    floor_c: float
    thermostat_c: float
    upper_c: float
    cheap_c: float | None
    species: tuple[str, ...]
    limits: tuple[Species, ...] = ()


@dataclass(frozen=True)
class ClimateChoice:
    """The weather to simulate, and how it is shifted to the site.

    Attributes
    ----------
    series, file : str
        Name of a weather file of the package, or path of another one; one of them is empty.
    winters : tuple of int
        Years in which the winters begin; empty for all.
    site_elevation_m : float or None
        Elevation of the site [m]; None where it is the station's.
    coldest_night_c : float or None
        Record low that the heater is sized for [degC]; None where it is worked out, or not wanted.
    rare_cold : bool
        Whether the heater is sized for a cold spell colder than the weather as recorded.
    position : pair of float or None
        Degrees north and east [degree]; None where it is that of the weather file.
    annual_mean_c : float or None
        Yearly mean of the air temperature [degC], which the ground follows; None where it is that of the weather file.
    sun, sky : bool
        Whether the sun on walls, roof and windows is counted, and what outer surfaces radiate to the sky.
    monthly_mean_c : tuple of float
        Mean air temperature of January to December in the town that the file is adapted to [degC]; empty to keep it.
    record_low_c : float or None
        Lowest air temperature on record there [degC].
    """

    series: str
    file: str
    winters: tuple[int, ...]
    site_elevation_m: float | None
    coldest_night_c: float | None
    rare_cold: bool = True
    position: tuple[float, float] | None = None
    annual_mean_c: float | None = None
    sun: bool = True
    sky: bool = True
    monthly_mean_c: tuple[float, ...] = ()
    record_low_c: float | None = None


@dataclass(frozen=True)
class Measure:
    """A change of the plan, with its price.

    Attributes
    ----------
    name : str
        Its name.
    cost : float
        Its price [currency].
    set : dict of str to object
        Value to set at each key of the plan file.
    """

    name: str
    cost: float
    set: dict[str, object] = field(hash=False)


@dataclass(frozen=True)
class Unknown:
    """A figure of the plan known only within a range.

    Attributes
    ----------
    name : str
        Its name.
    key : str
        Its key in the plan file.
    low, likely, high : float
        Lowest, likely and highest number, in the unit of `form`.
    form : str
        Text that the number goes into, "{} degC"; empty for a plain number.
    """

    name: str
    key: str
    low: float
    likely: float
    high: float
    form: str

    def value(self, number: float) -> object:
        """The plan file's value for a number within the range."""
        return self.form.replace("{}", f"{number:.6g}") if self.form else number


@dataclass(frozen=True)
class Factors:
    """Calibration factors on the values of a plan; 1 leaves them as written.

    Attributes
    ----------
    air_change : float
        Factor on air changes and leakage area [-].
    room : float
        Factor on the U-value of the sides that face outdoors and attic [-].
    mass : float
        Factor on the heat capacity of slab and sides [-].
    water : float
        Factor on the heat loss through the walls of tanks and beds [-].
    cover : float
        Factor on evaporation [-].
    """

    air_change: float = 1.0
    room: float = 1.0
    mass: float = 1.0
    water: float = 1.0
    cover: float = 1.0


@dataclass(frozen=True)
class FactorSpread:
    """How far a calibrated plan may still be off; None where it was not calibrated.

    Attributes
    ----------
    air_change_sd, room_sd, mass_sd, water_sd, cover_sd : float or None
        Standard deviation of the logarithm of each of the `Factors`, to be sampled one by one [-].
    residual : float or None
        Standard deviation of the logarithm of the heat needed, beside the factors [-].
    """

    air_change_sd: float | None = None
    room_sd: float | None = None
    mass_sd: float | None = None
    water_sd: float | None = None
    cover_sd: float | None = None
    residual: float | None = None


@dataclass(frozen=True)
class Plan:
    """One complete design.

    Attributes
    ----------
    title : str
        Its name.
    units : str
        Units of the answer: metric, us or imperial.
    climate : ClimateChoice
        The weather.
    keep : Keep
        The water temperatures to keep.
    tanks, beds : tuple of Vessel
        The vessels of water.
    pump : Pump
        The pump between them.
    room : Room
        The room that they stand in.
    hut : Hut or None
        A hut round them.
    loads : tuple of Load
        Lights and other electrical devices.
    heater : Heater
        The heaters.
    power : Power
        Price of electricity, and the circuit.
    tap_c : float
        Temperature of tap water [degC].
    start_c : float or None
        Temperature of newly filled water [degC]; None where it is that of tap water.
    water_change_m3_s : float
        Water replaced by tap water [m3/s].
    top_off_m3_s : float
        Water added, according to the grower [m3/s]; 0 where not given.
    measures : tuple of Measure
        Improvements to compare.
    unknowns : tuple of Unknown
        Figures known only within a range.
    way_costs : tuple of (str, float)
        Name and price of other ways to heat or run the system, where the plan gives one [currency].
    other_heat : OtherHeat
        Other sources of heat to try; none is part of the plan itself.
    tried : TriedHeat or None
        The one of them that this design has.
    pipes : tuple of Pipe
        Pipes between the vessels.
    barrels : tuple of Barrel
        Water that stands in the room, outside the system.
    dehumidifier : Dehumidifier or None
        A dehumidifier in the air round the system.
    fan : HumidityFan or None
        A fan that brings outdoor air into the room by humidity.
    source : dict
        The plan file as nested tables.
    fit_spread : FactorSpread
        How far it may still be off after a calibration.
    written_for : str
        Version of overwinter that the plan was written for; empty where not given.
    """

    title: str
    units: str
    climate: ClimateChoice
    keep: Keep
    tanks: tuple[Vessel, ...]
    beds: tuple[Vessel, ...]
    pump: Pump
    room: Room
    hut: Hut | None
    loads: tuple[Load, ...]
    heater: Heater
    power: Power
    tap_c: float
    water_change_m3_s: float
    top_off_m3_s: float
    measures: tuple[Measure, ...]
    unknowns: tuple[Unknown, ...]
    pipes: tuple[Pipe, ...] = ()
    source: dict[str, object] = field(default_factory=dict, hash=False, compare=False, repr=False)
    fit_spread: FactorSpread = FactorSpread()
    written_for: str = ""
    way_costs: tuple[tuple[str, float], ...] = ()
    start_c: float | None = None
    other_heat: OtherHeat = NO_OTHER_HEAT
    tried: TriedHeat | None = None
    barrels: tuple[Barrel, ...] = ()
    dehumidifier: Dehumidifier | None = None
    fan: HumidityFan | None = None

    @property
    def water_m3(self) -> float:
        """All the water of the system. [m3]"""
        in_vessels = sum(vessel.water_m3 for vessel in self.tanks + self.beds)
        return in_vessels + sum(pipe.water_m3 for pipe in self.pipes)

    @property
    def electric_w(self) -> float:
        """Largest power of pump, lights and other loads together, without the heater. [W]"""
        drying = sum(device.power_w for device in (self.dehumidifier, self.fan) if device)
        hourly = [self.pump.power_w * self.pump.hours[h] / self.pump.run_share for h in range(24)]
        return drying + max(
            hourly[h] + sum(load.power_w * load.hours[h] for load in self.loads if load.electric) for h in range(24)
        )

"""Results of comparing designs: packages, minimum temperatures, alternatives and uncertainty; frozen values only.

"Typical winter" is the median winter of the base design, by the heater's energy. Where a field has another name in the
JSON answer, its key stands in quotes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from thermal.climate.season_basis import TYPICAL, SeasonBasis

if TYPE_CHECKING:
    from thermal.analysis.drying_results import Drying
    from thermal.analysis.heat_brought import HeatBrought
    from thermal.analysis.results import PlanWarning


@dataclass(frozen=True)
class DesignResult:
    """Heater, energy, cost, power outage and moisture of one design.

    Attributes
    ----------
    needed_w : float or None
        Heater needed to keep the water at its minimum [W]; None where no heater is enough.
    setpoint_c : float
        Lowest thermostat of the day: the water's, or the room's where the room is heated [degC].
    installed_w : tuple of float
        Power of each installed heater [W].
    owned_holds : bool or None
        Whether the heaters owned are enough; None where none are owned.
    peak_w : float
        Largest power of the installed heaters in use [W].
    coldest_c : float
        Coldest tank with the installed heaters, over all winters [degC].
    kwh, cost : float
        The heater's energy [kWh] and cost [currency] in the typical winter, of a sample in its own winter; the cost is
        "winter_cost".
    worst_kwh, worst_cost : float
        The same in the design's own worst winter [kWh, currency]; of a sample in the worst of the hardest winters.
    winter_kwh, winter_costs : tuple of float
        The same in each complete winter [kWh, currency]; of a sample in the hardest ones and its own.
    months : tuple of (str, float, float)
        Month, energy [kWh] and cost [currency] in the typical winter.
    outage_h : float or None
        Time from a power cut at the coldest hour of the worst day until the tank is at its minimum, as in
        `Outage.to_floor` [h]; None if longer than a week; also "hours_to_floor".
    condensation_h, mould_h : float
        Hours of condensation and of possible mould in the typical winter [h]; NaN for uncertainty samples.
    load_w : float
        Heaters, pump and lights together [W].
    fits : bool or None
        Whether the circuits given carry that load; None where no circuit is given.
    closure : float
        Largest error of the energy balance, as a share of the heat exchanged [-].
    floor_c : float
        Minimum water temperature of the design [degC].
    coldest_unheated_c : float or None
        Coldest tank without a heater [degC]; None where it was not simulated.
    weighted : tuple of tuple of tuple of float
        Energy times each further weight, by winter and month [kWh times the weight]; not in the JSON answer.
    drying : Drying or None
        What a dehumidifier and a fan by humidity do, whose electricity is part of kWh and cost; None without any.
    """

    needed_w: float | None
    setpoint_c: float
    installed_w: tuple[float, ...]
    owned_holds: bool | None
    peak_w: float
    coldest_c: float
    kwh: float
    cost: float
    worst_kwh: float
    worst_cost: float
    winter_kwh: tuple[float, ...]
    winter_costs: tuple[float, ...]
    months: tuple[tuple[str, float, float], ...]
    outage_h: float | None
    condensation_h: float
    mould_h: float
    load_w: float
    fits: bool | None
    closure: float
    floor_c: float
    coldest_unheated_c: float | None
    weighted: tuple[tuple[tuple[float, ...], ...], ...]
    drying: Drying | None = None


@dataclass(frozen=True)
class Package:
    """A set of measures, alone or with another way to heat or run the system, its price and its result.

    Attributes
    ----------
    measures : tuple of str
        Names of the measures; none for the plan as written.
    cost : float
        Price of all of them, and of the other way [currency].
    result : DesignResult
        The plan with these measures. Energy and cost of a heat pump are those of its electricity.
    saves : float
        Saving in a typical winter against the plan without measures [currency].
    payback_winters : float or None
        Price over saving [typical winters]; None where the package saves nothing or costs nothing.
    way : str
        Name of the other way; empty for measures alone.
    """

    measures: tuple[str, ...]
    cost: float
    result: DesignResult
    saves: float
    payback_winters: float | None
    way: str = ""


@dataclass(frozen=True)
class RankedMeasure:
    """The best measure to take next, after those ranked before it.

    Attributes
    ----------
    measure : str
        Its name.
    cost, saves : float
        Its price, and its saving in a typical winter beyond the measures before it [currency].
    package : Package
        This measure with all those before it.
    """

    measure: str
    cost: float
    saves: float
    package: Package


@dataclass(frozen=True)
class PackageComparison:
    """All packages of a plan's measures, and the best choices among them.

    Attributes
    ----------
    packages : tuple of Package
        Every package of measures, the plan without any first; then the packages with another way to heat.
    pareto_front : tuple of int
        Index of each package than which no other is cheaper both to buy and to run, by rising price; "undominated".
    with_owned : int or None
        Index of the cheapest package for which the heaters owned are enough.
    on_circuit : int or None
        Index of the cheapest package that fits the circuits given.
    in_budget : int or None
        Index of the package within the budget that costs least to run.
    ranking : tuple of RankedMeasure
        The measures in the order of saving for their price; "ladder".
    """

    packages: tuple[Package, ...]
    pareto_front: tuple[int, ...]
    with_owned: int | None
    on_circuit: int | None
    in_budget: int | None
    ranking: tuple[RankedMeasure, ...]


@dataclass(frozen=True)
class FloorStep:
    """The plan at one minimum water temperature.

    Attributes
    ----------
    floor_c : float
        The minimum water temperature [degC].
    result : DesignResult
        The plan with this minimum.
    species : tuple of str
        Species for which this minimum is warm enough and the one before it is not.
    """

    floor_c: float
    result: DesignResult
    species: tuple[str, ...]


@dataclass(frozen=True)
class Alternative:
    """Another way to heat or run the same system.

    Attributes
    ----------
    name, meaning : str
        Its name, and a few words of explanation.
    needed_w : float or None
        Heat needed at its peak [W]; None where no heater is enough.
    kwh, cost : float
        Electricity [kWh] and its cost [currency] in the typical winter.
    saves : float
        Saving in a typical winter against the plan as written [currency].
    outage_h : float or None
        Time from a power cut until the tank is at its minimum, as in `DesignResult` [h].
    mould_h : float
        Hours of possible mould in the typical winter [h].
    price : float or None
        What it costs to set up [currency]; None where neither the plan nor the table of usual prices gives one.
    payback_winters : float or None
        Price over saving [typical winters]; None where it saves nothing, costs nothing or has no price.
    reason : str
        Why the heater needed, the energy or the mould risk rises; empty where none of them does.
    heat : HeatBrought or None
        What another source of heat brings; None where the way has none.
    drying : Drying or None
        What a dehumidifier or a fan by humidity does; None for other ways.
    condensation_h : float or None
        Hours of condensation in the typical winter with one of these, or with air of a hut from elsewhere [h]; None for
        other ways.
    house_kwh : float or None
        Heat of the house that comes with the air of a hut [kWh]; None for ways that leave its air as it is.
    """

    name: str
    meaning: str
    needed_w: float | None
    kwh: float
    cost: float
    saves: float
    outage_h: float | None
    mould_h: float
    price: float | None = None
    payback_winters: float | None = None
    reason: str = ""
    heat: HeatBrought | None = None
    drying: Drying | None = None
    condensation_h: float | None = None
    house_kwh: float | None = None

    @property
    def stands_alone(self) -> bool:
        """Whether it takes no part in packages, and has sentences of its own."""
        return any(more is not None for more in (self.heat, self.drying, self.house_kwh))


@dataclass(frozen=True)
class PartResistance:
    """Resistance to add to one part [m2K/W]; 0 where none is needed, None where that part alone is not enough."""

    part: str
    r_m2k_per_w: float | None


@dataclass(frozen=True)
class RequiredInsulation:
    """Insulation that a given heater power would need, on each part alone.

    Attributes
    ----------
    watts : float
        The heater power [W].
    why : str
        Where that power comes from: the heaters owned, or the circuit.
    parts : tuple of PartResistance
        Each part with the resistance to add to it.
    """

    watts: float
    why: str
    parts: tuple[PartResistance, ...]


@dataclass(frozen=True)
class SeparableEffects:
    """Effects of measures at other minimum water temperatures, where they are separable within 3 %; not in the JSON.

    Attributes
    ----------
    floors_c : tuple of float
        Minimum water temperatures at which a package may be estimated, the plan's own not among them [degC].
    logarithms : dict of str to tuple of tuple of float
        For "needed_w", "kwh" and "cost", and each of `floors_c`: the logarithm of the factor that each measure has
        there over its factor at the plan's minimum, and last that of what all together have beyond these [-].
    """

    floors_c: tuple[float, ...]
    logarithms: dict[str, tuple[tuple[float, ...], ...]]


@dataclass(frozen=True)
class Comparison:
    """Packages of measures, minimum temperatures and alternatives of one plan, as `compare` shows them.

    Attributes
    ----------
    package_comparison : PackageComparison
        Every package of the plan's measures.
    floors : tuple of FloorStep
        The plan at every minimum water temperature.
    alternatives : tuple of Alternative
        Other ways to heat; none where they were not asked for.
    insulating : RequiredInsulation or None
        Insulation needed on one part alone; None where it was not asked for; "r_needed".
    season : SeasonBasis
        The winter behind energy and cost; not in the JSON answer, where all of them are null without a complete winter.
    warnings : tuple of PlanWarning
        Harm to people and animals by the plan without measures.
    separable : SeparableEffects or None
        Effects of the measures at other minimum temperatures; None where they were not simulated.
    """

    package_comparison: PackageComparison
    floors: tuple[FloorStep, ...]
    alternatives: tuple[Alternative, ...] = ()
    insulating: RequiredInsulation | None = None
    season: SeasonBasis = TYPICAL
    warnings: tuple[PlanWarning, ...] = ()
    separable: SeparableEffects | None = None


@dataclass(frozen=True)
class Interval:
    """A figure of the plan, and its interval over all samples; all in the figure's own unit.

    Attributes
    ----------
    likely : float
        The figure with every input at its likely value.
    low, middle, high : float
        The 5, 50 and 95 % quantile of the samples.
    """

    likely: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Sensitivity:
    """Effect of one uncertain input on heater and energy.

    Attributes
    ----------
    name : str
        The input.
    share : float
        Its share in the variance, the mean of heater's and energy's [-].
    heater_w, kwh : float
        Half the width of the 90 % interval that this input alone causes [W, kWh].
    measure_it : str
        The cheapest way to measure it.
    """

    name: str
    share: float
    heater_w: float
    kwh: float
    measure_it: str


@dataclass(frozen=True)
class Uncertainty:
    """Uncertainty of a plan's figures, from random samples of its uncertain inputs; "spread" in the JSON answer.

    Attributes
    ----------
    samples, seed : int
        Number of samples, and the seed that gives the same ones again.
    bands : dict of str to Interval
        Interval of each figure, by the figure's name; without figures that some samples do not have, without energy and
        cost where no winter is complete, and without those of the worst winter where only one is.
    chance_holds : float
        Share of samples in which the heater of the plan as written keeps the water at its minimum [-].
    heater_w : tuple of float
        Power of each heater of the plan as written [W].
    drivers : tuple of Sensitivity
        Uncertain inputs, the largest effect first.
    enough_w : float or None
        Power that is enough in 9 of 10 samples [W]; None where more than one sample in ten needs a heater that no
        power replaces.
    heater_r2, kwh_r2 : float or None
        R2 of the linear fit behind `drivers`, of heater and energy [-]; None with too few samples.
    other_ln_sd : float
        Standard deviation of the logarithm of what no input stands for, on the heater needed [-].
    season : SeasonBasis
        The winter behind energy and cost: how many are complete, the name of the only one, and whether it is joined.
    """

    samples: int
    seed: int
    bands: dict[str, Interval]
    chance_holds: float
    heater_w: tuple[float, ...]
    drivers: tuple[Sensitivity, ...]
    enough_w: float | None
    heater_r2: float | None
    kwh_r2: float | None
    other_ln_sd: float
    season: SeasonBasis = TYPICAL

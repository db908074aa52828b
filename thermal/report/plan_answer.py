"""The answer to one plan for Python: a small value with its figures, months, verdict and charts."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from thermal.analysis.assessment import Assessment, assess
from thermal.analysis.comparison_results import DesignResult
from thermal.analysis.design_study import (
    DesignStudy,
    collect_study,
    combined_study,
    comparison_of,
    design_study,
    submit_study,
    uncertainty_of,
)
from thermal.analysis.plan_weather import scene_of
from thermal.core.display_units import heater_list, watts_text
from thermal.core.parallel import SerialExecutor, worker_count
from thermal.errors import OverwinterError
from thermal.plan.example_plans import plan_file
from thermal.plan.model import Plan
from thermal.plan.reader import read_plan
from thermal.report import sentences
from thermal.report.table_data import energy, hours, price_text

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from thermal.analysis.case import SimulationCase

LEAST_SAMPLES = 20


@dataclass(frozen=True, repr=False)
class Answer:
    """The answer to one plan: what `overwinter heater` and the first half of `overwinter run` show.

    Attributes
    ----------
    title : str
        Name of the system.
    verdict : str
        The answer in a few sentences.
    heater_needed_w : float
        Least power that keeps the water at its minimum through every winter [W]; 0 where no heater is needed.
    heaters_to_buy_w : tuple of float
        Rated power of each heater to buy [W].
    coldest_unheated_c : float
        Coldest water without a heater, over all winters [degC].
    kwh, cost : float or None
        The heater's energy [kWh] and its cost [currency] in the typical winter; None without a complete winter.
    currency : str
        Name of the currency.
    hours_to_minimum : float or None
        From a power cut at the coldest hour of the worst day until the water is at its minimum [h]; None if longer than
        a week.
    warnings : tuple of str
        Every warning, in a sentence or two.
    assessment : Assessment
        The whole assessment, with everything that the reports show.
    """

    title: str
    verdict: str
    heater_needed_w: float
    heaters_to_buy_w: tuple[float, ...]
    coldest_unheated_c: float
    kwh: float | None
    cost: float | None
    currency: str
    hours_to_minimum: float | None
    warnings: tuple[str, ...]
    assessment: Assessment = field(compare=False)

    def __repr__(self) -> str:
        """The main figures on one line, with their units."""
        needed = f"heater needed {watts_text(self.heater_needed_w)}" if self.heater_needed_w > 0 else "no heater needed"
        parts = [needed, f"buy {heater_list(self.heaters_to_buy_w)}" if self.heaters_to_buy_w else ""]
        if self.kwh is not None:
            span = self.assessment.case.season.span
            parts.append(f"{energy(self.kwh)} kWh or {price_text(self.cost, self.currency)} {span}")
        unit = "" if self.hours_to_minimum is None else " h"
        parts.append(f"power cut: {hours(self.hours_to_minimum)}{unit} to the minimum")
        return f"<Answer {self.title!r}: {'; '.join(part for part in parts if part)}>"

    @property
    def months(self) -> pd.DataFrame:
        """Energy of the heater [kWh] and its cost [currency] in each month of the typical winter, by month."""
        rows = [(month.month, month.kwh, month.cost) for month in self.assessment.season.months]
        return pd.DataFrame(rows, columns=["month", "kwh", "cost"]).set_index("month")

    def to_frame(self) -> pd.DataFrame:
        """The figures as a table of one row by title, units in the names of its columns; rows of several plans join.

        Returns
        -------
        DataFrame
            Missing figures are NaN; `heaters_to_buy` is text.
        """
        row = {
            "heater_needed_w": self.heater_needed_w,
            "heaters_to_buy": heater_list(self.heaters_to_buy_w) if self.heaters_to_buy_w else "none",
            "coldest_unheated_c": self.coldest_unheated_c,
            "kwh": self.kwh,
            "cost": self.cost,
            "currency": self.currency,
            "hours_to_minimum": self.hours_to_minimum,
            "verdict": self.verdict,
        }
        frame = pd.DataFrame([row], index=pd.Index([self.title], name="plan"))
        numbers = ["heater_needed_w", "coldest_unheated_c", "kwh", "cost", "hours_to_minimum"]
        return frame.astype(dict.fromkeys(numbers, float))

    def plot(self) -> Figure:
        """Chart of the coldest winter: outdoors, room, and water with and without heaters; as `plot_winter`.

        Returns
        -------
        Figure
            Of matplotlib; `.savefig("winter.png")` writes it.
        """
        return plot_winter(self)


def answer(plan: Plan | str | Path, *, samples: int = 0, seed: int = 0, executor: Executor | None = None) -> Answer:
    """The answer to a plan.

    Parameters
    ----------
    plan : Plan, str or Path
        The plan, its file, or the name of a ready plan.
    samples : int
        Number of random samples of what is not known, 20 or more, for the reserve of the heaters to buy; 0 for none,
        which makes the reserve approximate.
    seed : int
        Seed of the samples.
    executor : Executor, optional
        Where samples and power cuts are simulated, for example `thermal.processes()`; without one, this process.

    Raises
    ------
    OverwinterError
        When the plan, its weather or the number of samples cannot be used, or no heater is enough.
    """
    if samples and samples < LEAST_SAMPLES:
        raise OverwinterError(f"samples = {samples}: write 0 for none, or at least {LEAST_SAMPLES}")
    case = case_of(plan)
    uncertainty = None
    if samples:
        study = design_study(case, samples=samples, seed=seed)
        uncertainty = uncertainty_of(study, _results(study, executor))
    return _answer_of(assess(case, uncertainty, remedies=False, executor=executor))


def _answer_of(assessment: Assessment) -> Answer:
    """The answer of an assessment."""
    season, plan = assessment.season, assessment.case.plan
    typical = season.winter_costs[season.median]
    return Answer(
        title=plan.title,
        verdict=sentences.verdict(assessment),
        heater_needed_w=assessment.heater.needed_w,
        heaters_to_buy_w=tuple(assessment.heater.buy_w),
        coldest_unheated_c=assessment.coldest.coldest_c,
        kwh=typical.kwh if typical.complete else None,
        cost=typical.cost if typical.complete else None,
        currency=plan.power.currency,
        hours_to_minimum=assessment.outage.to_floor.worst,
        warnings=tuple(warning.text for warning in assessment.warnings),
        assessment=assessment,
    )


def case_of(plan: Plan | str | Path, folder: Path | None = None, *, as_dated: bool = False) -> SimulationCase:
    """A plan in its climate.

    Parameters
    ----------
    plan : Plan, str or Path
        The plan, its file, or the name of a ready plan.
    folder : Path, optional
        Folder where a relative weather file is looked for; by default that of the plan's file, or the working folder.
    as_dated : bool
        Keep the dates of the weather file, as in `scene_of`.

    Raises
    ------
    OverwinterError
        When the plan or its weather cannot be used.
    """
    if isinstance(plan, Plan):
        return scene_of(plan, folder, as_dated=as_dated)
    path = plan_file(Path(plan))
    return scene_of(read_plan(path), path.parent if folder is None else folder, as_dated=as_dated)


def _results(study: DesignStudy, executor: Executor | None) -> list[DesignResult]:
    """The results of a study, simulated by an executor or in this process."""
    pool = SerialExecutor() if executor is None else executor
    return collect_study(study, submit_study(study, pool, worker_count(pool)))


def plot_winter(plan: Answer | Plan | str | Path) -> Figure:
    """Chart of the coldest winter and its coldest week: outdoors, room, and water with and without heaters.

    Parameters
    ----------
    plan : Answer, Plan, str or Path
        An answer, or a plan to answer first.

    Returns
    -------
    Figure
        Of matplotlib.
    """
    from thermal.report.charts import winter_chart

    return winter_chart(_answer_to(plan).assessment)


def plot_months(plan: Answer | Plan | str | Path) -> Figure:
    """Chart of the heat by path in each month of the typical winter: losses upwards, gains downwards.

    Parameters
    ----------
    plan : Answer, Plan, str or Path
        An answer, or a plan to answer first.

    Returns
    -------
    Figure
        Of matplotlib.
    """
    from thermal.report.charts import months_chart

    return months_chart(_answer_to(plan).assessment)


def plot_packages(plan: Answer | Plan | str | Path, *, executor: Executor | None = None) -> Figure:
    """Chart of every package of measures, alone and with another way to heat, by its price and its running cost.

    Parameters
    ----------
    plan : Answer, Plan, str or Path
        An answer, or a plan. The packages are simulated here, as `overwinter compare` does.
    executor : Executor, optional
        Where they are simulated; without one, this process.

    Returns
    -------
    Figure
        Of matplotlib.
    """
    from thermal.report.comparison_charts import packages_chart

    case = plan.assessment.case if isinstance(plan, Answer) else case_of(plan)
    study = design_study(case, comparison=True, others=True)
    results = _results(study, executor)
    both = combined_study(study, results)
    comparison = comparison_of(study, results, with_measures=(both, _results(both, executor)))
    return packages_chart(case.plan, comparison)


def _answer_to(plan: Answer | Plan | str | Path) -> Answer:
    """An answer as it is, or the answer to a plan."""
    return plan if isinstance(plan, Answer) else answer(plan)

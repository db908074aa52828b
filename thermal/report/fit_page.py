"""The HTML page of `fit`: how the plan follows the log, the factors, and the calibrated plan to copy."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from thermal.analysis.calibration import Calibration
from thermal.analysis.case import SimulationCase
from thermal.climate.logger_csv import Log
from thermal.core.atomic_write import write_atomically
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report import calibration_text, sentences
from thermal.report.drawings.log_drawing import log_figures
from thermal.report.how_made import HowMade, facts, inert_text
from thermal.report.html import render_page

SECTIONS = (
    ("factors", "Factors"),
    ("plan", "Calibrated plan"),
    ("log", "The log"),
    ("certainty", "How made"),
)


@dataclass(frozen=True)
class Fitted:
    """A calibration with what was read for it and written from it.

    Attributes
    ----------
    calibration : Calibration
        The factors, and how well the plan agrees with the log.
    log : Log
        The log.
    read : tuple of str
        How each column was read, and what was noticed.
    plan_name, plan_text : str
        Name and text of the calibrated plan.
    """

    calibration: Calibration
    log: Log
    read: tuple[str, ...]
    plan_name: str
    plan_text: str


def write_fit(case: SimulationCase, fitted: Fitted, made: HowMade, plan_folder: Path) -> Path:
    """Write the page.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    fitted : Fitted
        Result of `fit`.
    made : HowMade
        What the page is made from.
    plan_folder : Path
        Folder of this report, as `report_folder` gives it.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    OverwinterError
        When the file cannot be written.
    """
    return write_atomically(plan_folder / "fit.html", page(case, fitted, made))


def page(case: SimulationCase, fitted: Fitted, made: HowMade) -> str:
    """The HTML page; every text of plan and log is escaped.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    fitted : Fitted
        Result of `fit`.
    made : HowMade
        What the page is made from.
    """
    plan, result = case.plan, fitted.calibration
    units = UNIT_SYSTEMS[plan.units]
    content = {
        "title": plan.title,
        "sentence": calibration_text.fit_sentence(plan, result),
        "figures": [
            ("calibrated plan off by", units.difference(result.held_out_rms_k, 2), "last third of the log"),
            ("plan before off by", units.difference(result.before_rms_k, 2), "last third of the log"),
            ("hours of the log", f"{result.hours:,}", f"from {units.day(str(result.times[0]))}"),
        ],
        "figures_of_log": log_figures(plan, result, fitted.log),
        "factors": calibration_text.fit_table(result),
        "notes": [
            *calibration_text.combined_text(plan, result),
            *calibration_text.correlated_pairs_text(result),
        ],
        "read": fitted.read,
        "fitted_name": fitted.plan_name,
        "fitted_text": inert_text(fitted.plan_text),
        "basis": sentences.basis(case),
        "made": made,
        "made_from": facts(made, case),
        "sections": SECTIONS,
    }
    return render_page("fit.html", content)

"""How a page was made: version, plan, weather and date, with the text of the plan to copy."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from thermal.analysis.case import SimulationCase
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.version import installed_version
from thermal.plan.example_plans import plan_file
from thermal.plan.model import Plan
from thermal.report.table_data import Rows

HASH_SHOWN = 16  # characters of the hash: enough to tell one's own plans apart
_MISLEADING = re.compile("[\u2028\u2029\u202a-\u202e\u2066-\u2069]")  # they break lines or turn a text's direction


@dataclass(frozen=True)
class HowMade:
    r"""What a page was made from.

    Attributes
    ----------
    command : str
        The command, for example "run".
    plan_name : str
        Name of the plan file.
    plan_text : str
        Its text; characters that a page would show in another place stand as TOML escapes such as \u202e.
    plan_hash : str
        SHA-256 of the file, hexadecimal.
    version : str
        Version of overwinter.
    day : str
        The day, ISO 8601.
    """

    command: str
    plan_name: str
    plan_text: str
    plan_hash: str
    version: str
    day: str


def how_made(command: str, plan: Path) -> HowMade:
    """What a page is made from, today.

    Parameters
    ----------
    command : str
        The command, for example "run".
    plan : Path
        The plan file, or the bare name of a ready plan.
    """
    path = plan_file(plan)
    content = path.read_bytes()
    text = inert_text(content.decode("utf-8-sig"))
    digest = hashlib.sha256(content).hexdigest()
    return HowMade(command, path.name, text, digest, installed_version(), date.today().isoformat())


def inert_text(text: str) -> str:
    """A plan's text with a TOML escape for each character that a page would show in another place."""
    return _MISLEADING.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def facts(made: HowMade, case: SimulationCase) -> Rows:
    """Table of what a page was made from.

    Parameters
    ----------
    made : HowMade
        Command, version, plan and date.
    case : SimulationCase
        The plan and its weather.
    """
    header, winters = case.climate.header, case.weather.winters
    place = f", {header.place}" if header.place and header.place != header.name else ""
    first, last = winters[0].label, winters[-1].label
    single = "a typical year" if first == "typical" else f"winter {first}"
    span = single if len(winters) == 1 else f"winters {first} to {last}"
    return Rows(
        ("made from", ""),
        (
            ("program", f"overwinter {made.version}, command {made.command}"),
            ("date", UNIT_SYSTEMS[case.plan.units].day(made.day)),
            ("plan", f"{made.plan_name}; its SHA-256 begins with {made.plan_hash[:HASH_SHOWN]}"),
            ("weather", f"{header.name}{place}; {span}"),
            ("units", case.plan.units),
        ),
        left=2,
    )


def short_facts(made: HowMade, plan: Plan) -> str:
    """Version, plan and date in one line.

    Parameters
    ----------
    made : HowMade
        Command, version, plan and date.
    plan : Plan
        The plan, for the order of the date.
    """
    day = UNIT_SYSTEMS[plan.units].day(made.day)
    weather = plan.climate.series or plan.climate.file
    return (
        f"Made on {day} by overwinter {made.version} from {made.plan_name} (its SHA-256 begins with"
        f" {made.plan_hash[:HASH_SHOWN]}) and the weather file {weather}."
    )

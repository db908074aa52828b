"""What a table is asked for: plans, climates and settings, and the units of work that they are divided into."""

from __future__ import annotations

import fnmatch
import glob
import hashlib
import itertools
import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from thermal.analysis.work_unit import WEATHER_FILES, Job, Settings, WorkUnit, shape_of
from thermal.climate.library import available
from thermal.core.suggest import nearest
from thermal.core.version import installed_version
from thermal.errors import ClimateError, OverwinterError, PlanError
from thermal.plan.example_plans import plan_file
from thermal.plan.reader import plan_text

SAMPLES = 20  # of each plan
LARGEST_UNIT = 12  # rows: a unit takes some seconds, which is what a break-off loses


@dataclass(frozen=True)
class PlanText:
    """A plan file that was read, not yet checked.

    Attributes
    ----------
    name : str
        Name that its rows show.
    text : str
        Its text.
    folder : str
        Its folder, where a relative weather file is looked for.
    fault : str
        Why it could not be read; empty where it could.
    """

    name: str
    text: str
    folder: str
    fault: str = ""


@dataclass(frozen=True)
class Question:
    """What a table is asked for: every plan in every climate with every setting.

    Attributes
    ----------
    plans : tuple of PlanText
        The plans.
    climates : tuple of str
        Names or paths of weather files; empty for each plan's own.
    settings : tuple of Settings
        Each a set of keys and values for one row; one empty set where nothing is changed.
    samples, seed : int
        Random samples of each plan, and their seed.
    """

    plans: tuple[PlanText, ...]
    climates: tuple[str, ...] = ()
    settings: tuple[Settings, ...] = ((),)
    samples: int = SAMPLES
    seed: int = 0

    @cached_property
    def known(self) -> dict[str, Path]:
        """Files of the weather files that have a name."""
        return available()

    @property
    def rows(self) -> int:
        """Number of rows."""
        return len(self.plans) * len(self.settings) * max(len(self.climates), 1)

    def jobs(self, climate: str) -> Iterator[Job]:
        """The rows of one climate, plan by plan; of the plans' own climates where it is empty."""
        for plan, settings in itertools.product(self.plans, self.settings):
            yield self.job(plan, settings, climate)

    def job(self, plan: PlanText, settings: Settings, climate: str) -> Job:
        """One row; its key is a hash of all that it depends on.

        Parameters
        ----------
        plan : PlanText
            The plan.
        settings : tuple of (str, str)
            Keys to set and their values.
        climate : str
            Weather file as it was asked for; empty for the plan's own.
        """
        weather = self.weather(climate) or _own_climate(plan.text, plan.folder, settings)
        parts = [plan.name, plan.text, plan.fault, climate, json.dumps(settings), str(self.samples), str(self.seed)]
        parts += [installed_version(), _file_hash(self.known.get(weather, Path(weather)))]
        key = hashlib.sha256("\0".join(parts).encode()).hexdigest()[:32]
        return Job(plan.name, plan.text, plan.folder, climate, settings, self.weather(climate), key, plan.fault)

    def weather(self, climate: str) -> str:
        """What another process finds a weather file by: the name of a bundled one, or else its whole path."""
        if climate.endswith(WEATHER_FILES):
            return str(Path(climate).resolve())
        path = self.known.get(climate)  # of a file in the folder `climates` it is relative
        return climate if path is None or path.is_absolute() else str(path.resolve())

    def row_keys(self) -> Iterator[str]:
        """The keys of all rows in the order of the finished table: plans, then settings, then climates."""
        for plan, settings, climate in itertools.product(self.plans, self.settings, self.climates or ("",)):
            yield self.job(plan, settings, climate).key

    def units(self, done: Collection[str] = ()) -> Iterator[WorkUnit]:
        """The units of work, without rows whose keys are done already.

        Parameters
        ----------
        done : collection of str
            Keys of rows that are there.
        """
        for climate in self.climates or ("",):
            shapes: dict[object, list[Job]] = {}
            for job in self.jobs(climate):
                if job.key in done:
                    continue
                file = climate or _own_climate(job.text, job.folder, job.settings)
                jobs = shapes.setdefault((shape_of(job.text, job.settings), file), [])
                jobs.append(job)
                if len(jobs) == LARGEST_UNIT:
                    yield WorkUnit(tuple(jobs), self.samples, self.seed)
                    jobs.clear()
            yield from (WorkUnit(tuple(jobs), self.samples, self.seed) for jobs in shapes.values() if jobs)


@lru_cache(maxsize=4096)
def _own_climate(text: str, folder: str, settings: Settings) -> str:
    """Name or path of a plan's own weather file; empty where it names none."""
    try:
        table = Job("", text, folder, "", settings).document().get("climate")
    except PlanError:
        return ""
    table = table if isinstance(table, dict) else {}
    file = table.get("file")
    return str(Path(folder) / file) if isinstance(file, str) else str(table.get("series", ""))


@lru_cache(maxsize=65536)
def _file_hash(file: Path) -> str:
    """Hash of a weather file and of the header beside it."""
    digest = hashlib.sha256()
    for part in (file, file.with_name(file.name.removesuffix(".gz").removesuffix(".csv") + ".toml")):
        if part.is_file():
            digest.update(part.read_bytes())
    return digest.hexdigest()


def plan_texts(plans: Iterable[Path | str]) -> tuple[PlanText, ...]:
    """The plans of files, folders, globs, names of ready plans, or texts; each file once.

    Parameters
    ----------
    plans : iterable of Path or str
        A text with a line break is the text of a plan.

    Raises
    ------
    OverwinterError
        When there is no such plan, or a folder or a glob has none.
    """
    texts: dict[str, PlanText] = {}
    for number, plan in enumerate(plans):
        if isinstance(plan, str) and "\n" in plan:
            texts[f"plan {number + 1}"] = PlanText(f"plan {number + 1}", plan, ".")
            continue
        for path in _paths(Path(plan), "*.toml"):
            file = plan_file(path)
            if not file.exists():
                raise OverwinterError(f"{path}: no such plan file")
            texts.setdefault(str(file.resolve()), _read(path, file))
    if not texts:
        raise OverwinterError("table: give at least one plan")
    return tuple(texts.values())


def _read(path: Path, file: Path) -> PlanText:
    """A plan file; one that cannot be read has its fault in the place of its text."""
    try:
        return PlanText(str(path), plan_text(file), str(file.resolve().parent))
    except PlanError as fault:
        return PlanText(str(path), "", str(file.resolve().parent), fault.on_one_line())


def _paths(path: Path, pattern: str) -> list[Path]:
    """Files of a folder or a glob; any other path as it is."""
    if path.is_dir():
        found_there = sorted(path.glob(pattern))
    elif any(sign in str(path) for sign in "*?[") and not path.exists():
        found_there = [Path(name) for name in sorted(glob.glob(str(path), recursive=True))]
    else:
        return [path]
    if not found_there:
        raise OverwinterError(f"{path}: there is no file {pattern} in it" if path.is_dir() else f"{path}: no such file")
    return found_there


def climate_names(climates: Iterable[Path | str]) -> tuple[str, ...]:
    """Names of weather files, or paths of CSV files, from names, paths, folders and globs; each once.

    Parameters
    ----------
    climates : iterable of Path or str
        A glob stands for names and for paths.

    Raises
    ------
    ClimateError
        When there is no such weather file.
    """
    known, names = available(), []
    for climate in map(str, climates):
        if climate in known and not climate.endswith(WEATHER_FILES):
            names.append(climate)
        elif matches := fnmatch.filter(sorted(known), climate):
            names += matches
        elif not Path(climate).is_dir() and not glob.glob(climate) and not climate.endswith(WEATHER_FILES):
            raise ClimateError(f"no weather file is called {climate!r}; {nearest(climate, known)}")
        else:
            names += [str(path) for path in _weather_paths(Path(climate))]
    return tuple(dict.fromkeys(names))


def _weather_paths(path: Path) -> list[Path]:
    """CSV files of a path, a folder or a glob."""
    paths = [file for file in _paths(path, "*.csv*") if file.name.endswith(WEATHER_FILES)]
    missing = next((file for file in paths if not file.is_file()), None)
    if missing or not paths:
        raise ClimateError(f"{missing or path}: there is no such weather file (.csv or .csv.gz)")
    return paths


def sweeps(values: Mapping[str, Sequence[object]]) -> tuple[Settings, ...]:
    """Every combination of the values of some keys of the plan file.

    Parameters
    ----------
    values : mapping of str to sequence of object
        Values by key, such as {"room.air_changes": ["tight", "ordinary"]}; a text stands as it is written in a plan.
    """
    texts = [[(key, as_written(value)) for value in row] for key, row in values.items()]
    return tuple(itertools.product(*texts))


def as_written(value: object) -> str:
    """A value as it is written in a plan; a text stays."""
    return value if isinstance(value, str) else json.dumps(value)

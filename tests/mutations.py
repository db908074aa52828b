"""Break one physics term at a time (x 1.3) and see that an outside check or closed form fails.

    python tests/mutations.py [term ...]
    python tests/mutations.py --random 60 --seed 1     any operator, comparison, constant or two arguments
                                                       (`random_mutants.py`); exits 1 below 85 % noticed
    python tests/mutations.py --random 60 --seed 1 --from 21 --to 40 --known known.json
                                                       only those of the sixty, to run them in parts; the file keeps
                                                       which tests take too long
    python tests/mutations.py --random 60 --seed 1 --only 3 17 42
                                                       these of the sixty again

Works on copies; exits 1 when a broken term goes unnoticed.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
from tests.random_mutants import Bench, chosen, try_mutants  # noqa: E402

LEAST_NOTICED = 0.85
TERMS = {
    "evaporation": ("thermal/physics/evaporation.py", "FREE_CONVECTION = 35.0", "FREE_CONVECTION = 1.3 * 35.0"),
    "longwave": ("thermal/physics/radiation.py", "return 4.0 * emissivity", "return 1.3 * 4.0 * emissivity"),
    "wall film": (
        "thermal/physics/natural_convection.py",
        "return 0.825, 0.387",
        "return 1.3**0.5 * 0.825, 1.3**0.5 * 0.387",
    ),
    "slab": ("thermal/physics/ground.py", "poorly_insulated = 2.0 * k", "poorly_insulated = 1.3 * 2.0 * k"),
    "air change": ("thermal/network/envelope.py", " change_kg_s=constant", " change_kg_s=1.3 * constant"),
    "flow": ("thermal/network/pipes.py", "flow = water_capacity(", "flow = 1.3 * water_capacity("),
    "vapour": (
        "thermal/solver/transfer_coefficients.py",
        "dry_gain += sum_rows(",
        "dry_gain += 1.3 * sum_rows(",
    ),
    "heater": ("thermal/solver/linear_solve.py", "add(last, watts, last)", "add(last, 1.3 * watts, last)"),
    "pump heat": ("thermal/network/build.py", "0] += plan.pump.in_water_share", "0] += 1.3 * plan.pump.in_water_share"),
    "media": (
        "thermal/physics/bed_heat_capacity.py",
        "(np.asarray(solids_j_per_m3k) + water_share",
        "1.3 * (np.asarray(solids_j_per_m3k) + water_share",
    ),
}


def copied_tree(folder: Path) -> Path:
    """A folder, now with all that the tests read."""
    for part in ("thermal", "tests", "climates", "reports", "pyproject.toml", "README.md", "DEVELOPERS.md"):
        source = ROOT / part
        if source.is_dir():
            shutil.copytree(source, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / part)
    return folder


def failing_test(term: str) -> str | None:
    """The first outside check that notices the broken term, None when none does."""
    file, old, new = TERMS[term]
    with tempfile.TemporaryDirectory() as folder:
        place = copied_tree(Path(folder))
        text = (place / file).read_text("utf-8")
        if text.count(old) != 1:
            raise SystemExit(f"{term}: {old!r} stands {text.count(old)} times in {file}; mend tests/mutations.py")
        (place / file).write_text(text.replace(old, new), "utf-8")
        command = [sys.executable, "-m", "pytest", "tests/published", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
        environment = {**os.environ, "PYTHONPATH": folder, "PYTHONDONTWRITEBYTECODE": "1"}
        done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, timeout=600)
    if done.returncode not in (0, 1):
        raise SystemExit(f"{term}: the tests did not run (pytest ended with {done.returncode})\n{done.stdout[-2000:]}")
    found = re.search(r"^(?:FAILED|ERROR) (\S.*?)(?: - |$)", done.stdout, re.MULTILINE)
    return found[1] if done.returncode == 1 and found else None


def at_random(given: argparse.Namespace) -> int:
    """Exit code of so many random mutants, or of a part of them."""
    every = dict(enumerate(chosen(given.random, given.seed), 1))
    last = given.last or given.random
    mutants = {number: every[number] for number in given.only or range(given.first, last + 1)}
    with tempfile.TemporaryDirectory() as folder:
        survivors = try_mutants(mutants, Bench(copied_tree(Path(folder)), given.known))
    return int(len(survivors) > (1.0 - LEAST_NOTICED) * len(mutants))


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("terms", nargs="*")
    parser.add_argument("--random", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--from", dest="first", type=int, default=1)
    parser.add_argument("--to", dest="last", type=int)
    parser.add_argument("--only", type=int, nargs="+")
    parser.add_argument("--known", type=Path)
    given = parser.parse_args()
    if given.random:
        sys.exit(at_random(given))
    survivors = []
    for term in given.terms or TERMS:
        noticed = failing_test(term)
        print(f"{term:12s} x 1.3  ->  {noticed or 'NOT NOTICED'}", flush=True)
        survivors += [] if noticed else [term]
    sys.exit(1 if survivors else 0)


if __name__ == "__main__":
    main()

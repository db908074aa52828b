"""Runs the plan that README shows and writes the answer below it.

python -m tests.docs.sample_answer
"""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from unittest import mock

from tests import fuzz
from tests.docs.markers import README, write_generated

NAME = "sample answer"
PLAN_FILE = "my-garage.toml"


def shown_plan() -> str:
    """The first plan of README, whole."""
    blocks = re.findall(r"^```toml\n(.*?)^```", README.read_text("utf-8"), re.MULTILINE | re.DOTALL)
    return next(block for block in blocks if block.startswith("title"))


def lines(folder: Path) -> list[str]:
    """What `overwinter run` prints for that plan, in a folder of its own, 100 columns wide."""
    (folder / PLAN_FILE).write_text(shown_plan(), "utf-8")
    home = Path.cwd()
    os.chdir(folder)
    try:
        with mock.patch.dict(os.environ, {"COLUMNS": "100"}):
            code, out, err = fuzz.ended("run", PLAN_FILE)
    finally:
        os.chdir(home)
    assert code == 0, err
    out = re.sub(r"file://\S*/reports/", "file:///home/you/reports/", out)
    return ["```text", *(line.rstrip() for line in out.splitlines()), "```"]


def main() -> None:
    """Write the answer into README."""
    with tempfile.TemporaryDirectory() as folder:
        write_generated(README, NAME, lines(Path(folder)))


if __name__ == "__main__":
    main()

"""Every command that README shows is run, in its order."""

from __future__ import annotations

import re
import shlex
import tomllib

import pytest

from tests import fuzz
from tests.analysis.test_calibration import TRUTH, made_up_log, noisy, write_log
from tests.docs import sample_answer
from tests.test_fetch import NEIGHBOURS, YEARS_ASKED, Shelf, server, shelf, year_file  # noqa: F401
from tests.test_readme import README, blocks
from thermal.plan.reader import plan_of
from thermal.plan.wizard import default_answers, render_plan

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again

COMMANDS = {"start", "check", "run", "heater", "compare", "spread", "fit", "outage", "climate", "table", "map"}


def commands() -> list[str]:
    """Every command in README, code blocks first; not those that set up, nor those for Windows."""
    lines = [line for block in blocks("text") for line in block.splitlines() if line.startswith("overwinter ")]
    return list(dict.fromkeys([*lines, *re.findall(r"`(overwinter [^`]+)`", README)]))


def runnable(command: str) -> list[str] | None:
    """A command's words with files in place of PLAN, LOG, NAME and FILE; None for what is not to be run here."""
    stands_for = {"PLAN": "my.toml", "LOG": "log.csv", "NAME": "springfield-il"}
    words = [stands_for.get(word, word) for word in shlex.split(command)[1:]]
    if words[0].startswith("-") or words == ["demo"]:
        return None  # completion would change this machine; CI runs the demo itself
    if words[0] == "start":
        file = f"{'-'.join(words[2:]).strip('-') or 'another'}.toml"
        words = [file if word == "FILE" else word for word in words]
        return words if {"--plan", "--list-plans", "--yes"} & set(words) else [*words, "--yes"]
    words = ["hours.csv" if word == "FILE" else word for word in words]
    if len(words) == 1:
        words += ["my.toml", "log.csv"] if words == ["fit"] else ["my.toml"]
    if words[0] in ("run", "spread", "table") and "--samples" not in words:
        words += ["--samples", "20"]
    return words


def test_every_command_of_readme_runs(shelf, tmp_path):  # noqa: F811
    """In README's order, with the plan `start` writes, a made-up log and a made-up weather archive on 127.0.0.1."""
    shelf.update({f"/{year}/{name}.csv.gz": year_file(year) for year in YEARS_ASKED for name in NEIGHBOURS})
    (tmp_path / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
    (tmp_path / sample_answer.PLAN_FILE).write_text(sample_answer.shown_plan(), "utf-8")
    garage = plan_of(tomllib.loads(render_plan("garage", "metric", default_answers("garage", "metric"))))
    write_log(tmp_path / "log.csv", noisy(made_up_log(garage, TRUTH), 1))
    ran: list[list[str]] = []
    for command in commands():
        words = runnable(command)
        if words is None or words in ran:
            continue
        code, out, err = fuzz.ended(*words)
        assert code == 0, (command, err)
        assert out or err
        ran.append(words)
    assert {words[0] for words in ran} == COMMANDS

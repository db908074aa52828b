"""What a rough world does to a command: broken files, full disks, kills, two at once, names that want out."""

from __future__ import annotations

import ast
import gzip
import json
import os
import pty
import random
import re
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests import fuzz
from thermal.core.atomic_write import write_atomically
from thermal.errors import OverwinterError

ROOT = Path(__file__).resolve().parent.parent
WORKSHOP = (ROOT / "thermal" / "plan" / "examples" / "workshop.toml").read_text("utf-8")
COMMAND = (sys.executable, "-m", "thermal")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A working folder with a short plan and its hours."""
    (tmp_path / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
    (tmp_path / "plan.toml").write_text(short_plan(), "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def short_plan() -> str:
    whole = WORKSHOP.replace('series = "springfield-il"', 'file = "hours.csv"')
    return whole[: whole.index("[[measure]]")]


def called(*arguments: str, folder: Path, **extra):
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **extra.pop("env", {})}
    return subprocess.run(
        [*COMMAND, *arguments], cwd=folder, env=environment, capture_output=True, text=True, timeout=120, **extra
    )


def test_a_plan_has_a_mebibyte(folder):
    (folder / "plan.toml").write_text("#" * (1 << 20) + "\n" + short_plan(), "utf-8")
    code, _, err = fuzz.ended("check", "plan.toml")
    assert code == 2
    assert "1,048,576" in err


def test_a_csv_has_fifty_mebibytes_packed_or_not(folder):
    row = b"2016-12-20T00:00Z,1.0,70\n"
    big = b"time_utc,air_c,rh_pct\n" + row * (51 * (1 << 20) // len(row))
    for raw in (big, gzip.compress(big, 1)):
        (folder / "hours.csv").write_bytes(raw)
        for arguments in (("heater", "plan.toml"), ("climate", "add", "hours.csv", "--name", "big")):
            code, _, err = fuzz.ended(*arguments)
            assert code == 2
            assert "larger than 50 MiB" in err


def test_a_csv_spans_sixty_years(folder):
    lines = fuzz.short_hours().splitlines()
    (folder / "hours.csv").write_text("\n".join([*lines, lines[1].replace("2016", "2079")]), "utf-8")
    for arguments in (("heater", "plan.toml"), ("climate", "add", "hours.csv", "--name", "long")):
        code, _, err = fuzz.ended(*arguments)
        assert code == 2
        assert "at most 60" in err


@pytest.mark.parametrize(
    ("year", "said"),
    [
        ("0226", "years between 1700 and 2300"),
        ("3016", "years between 1700 and 2300"),
        ("29016", "is not an ISO 8601 time|is not a time"),
    ],
)
def test_a_climate_of_no_calendar_is_told(folder, year, said):
    """Found by random CSVs: the date of a far year cannot be formatted, and a near one is a slip."""
    (folder / "hours.csv").write_text(fuzz.short_hours().replace("2016-", f"{year}-").replace("2017-", f"{year}-"))
    for arguments in (("heater", "plan.toml"), ("climate", "add", "hours.csv", "--name", "far")):
        code, _, err = fuzz.ended(*arguments)
        assert code == 2
        assert re.search(said, err)


def test_a_gzip_broken_inside_is_told(folder):
    """Found by random CSVs: zlib's own error came through as a traceback."""
    raw = bytearray(gzip.compress(fuzz.short_hours().encode()))
    raw[12] ^= 0xFF
    (folder / "hours.csv").write_bytes(raw)
    for arguments in (("heater", "plan.toml"), ("climate", "add", "hours.csv", "--name", "broken")):
        code, _, err = fuzz.ended(*arguments)
        assert code == 2
        assert "broken gzip" in err


@pytest.mark.parametrize("watts", ["47.6 kW", "90 kW"])
def test_lights_that_boil_the_water_are_told(folder, watts):
    """Found by random plans: the air's lead over a period went below absolute zero, and the books did not close."""
    text = (folder / "plan.toml").read_text("utf-8")
    assert 'power = "120 W"' in text
    (folder / "plan.toml").write_text(text.replace('power = "120 W"', f'power = "{watts}"'), "utf-8")
    code, _, err = fuzz.ended("heater", "plan.toml")
    assert code == 2
    assert err.startswith("pump, lights and other devices of"), err
    assert "would boil the water" in err
    code, _, err = fuzz.ended("compare", "plan.toml")  # whose simulates have nothing to refuse
    assert code == 0, err


@pytest.mark.parametrize("cell", ["inf", "-40"])
def test_an_impossible_humidity_counts_as_missing(folder, cell):
    """Found by random CSVs: an infinite humidity made the room's air not a number."""
    text = fuzz.short_hours()
    (folder / "hours.csv").write_text(re.sub(r",\d+\n", f",{cell}\n", text, count=3), "utf-8")
    assert fuzz.ended("heater", "plan.toml", "--json", "answer.json")[0] == 0
    assert fuzz.finite(fuzz.read_json(folder / "answer.json"))


def test_a_log_without_rows_is_told(folder):
    """Found by random CSVs: the first of no days was asked for."""
    (folder / "log.csv").write_text("time,water\n", "utf-8")
    code, _, err = fuzz.ended("fit", "plan.toml", "log.csv")
    assert code == 2
    assert "no rows" in err


def test_a_log_with_a_mistyped_year_is_told(folder):
    """Found while setting limits: hours of centuries were laid out."""
    (folder / "log.csv").write_text("time,water\n2016-12-20 00:00,10\n2216-12-20 01:00,10\n", "utf-8")
    code, _, err = fuzz.ended("fit", "plan.toml", "log.csv")
    assert code == 2
    assert "at most 60" in err


def test_a_kill_leaves_the_old_file_or_the_new(tmp_path):
    """A process writes two contents in turn and is killed at any moment, twenty-five times."""
    target = tmp_path / "report.html"
    contents = [letter * 3_000_000 for letter in "ab"]
    target.write_text(contents[0], "utf-8")
    script = (
        "import sys; from pathlib import Path; from thermal.core.atomic_write import write_atomically\n"
        "print('on', flush=True)\n"
        "while True:\n    for letter in 'ba': write_atomically(Path(sys.argv[1]), letter * 3_000_000)\n"
    )
    chance, seen = random.Random(7), set()
    for _ in range(25):
        writer = subprocess.Popen(
            [sys.executable, "-c", script, str(target)],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
        )
        writer.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.08))
        writer.kill()
        writer.wait()
        writer.stdout.close()
        text = target.read_text("utf-8")
        assert text in contents
        seen.add(text[0])
    assert seen == {"a", "b"}, "the kills never fell between two writes"


def test_only_one_module_opens_files_for_writing():
    """Every writer of the package goes through `core.atomic_write`; nothing imports what reads pickles."""
    for path in (ROOT / "thermal").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import | ast.ImportFrom):
                names = {one.name.split(".")[0] for one in node.names} | {
                    (getattr(node, "module", "") or "").split(".")[0]
                }
                assert not names & {"pickle", "cPickle", "shelve", "marshal", "dill", "joblib"}, path
            called = node.func if isinstance(node, ast.Call) else None
            name = getattr(called, "attr", getattr(called, "id", ""))
            assert name not in ("read_pickle", "to_pickle"), path
            if path.name != "atomic_write.py":
                assert name not in ("write_text", "write_bytes", "mkstemp", "open_new"), path
                if name == "open":
                    modes = [one.value for one in node.args[1:2] if isinstance(one, ast.Constant)]
                    assert not any(set("wax+") & set(str(mode)) for mode in modes), path


def test_no_pickle_is_read(folder):
    """Python itself tells of every class that an unpickler looks up."""
    script = (
        "import sys; seen = []\n"
        "sys.addaudithook(lambda event, _: seen.append(event) if event == 'pickle.find_class' else None)\n"
        "import pickle; pickle.loads(pickle.dumps(sys.exit)); assert seen; seen.clear()\n"
        "sys.argv = ['overwinter', 'heater', 'plan.toml']\n"
        "from thermal.cli import main\n"
        "try: main()\nexcept SystemExit as end: assert not end.code\n"
        "assert not seen"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", script], cwd=folder, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_a_run_writes_into_its_report_folder_only(folder, tmp_path_factory):
    """Looked at from outside: everything new under the working folder, HOME and TMPDIR."""
    home, temporary = tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("tmp")
    done = called(
        "run", "plan.toml", "--reports", "out", folder=folder, env={"HOME": str(home), "TMPDIR": str(temporary)}
    )
    assert done.returncode == 0, done.stderr
    place = folder / "out" / "plan-hours"
    new = {path for path in folder.rglob("*") if path.is_file()} - {folder / "hours.csv", folder / "plan.toml"}
    assert new
    assert {path.parent for path in new} == {place}
    assert not [path for path in place.iterdir() if path.name.startswith(".")], "a temporary file was left"
    assert not list(temporary.rglob("*"))
    assert all("matplotlib" in str(path) for path in home.rglob("*") if path.is_file()), "a library's font list at most"


@pytest.mark.skipif(os.geteuid() != 0, reason="to lose the right to write needs root here")
def test_a_read_only_folder_is_told(folder):
    """The writer alone runs as nobody: the checkout may lie where nobody can read its templates."""
    card = folder / "outage-card.html"
    card.write_text("old", "utf-8")
    for place in (folder, *folder.parents[:2]):
        place.chmod(0o755)
    os.seteuid(65534)
    try:
        with pytest.raises(OverwinterError, match=r"cannot be written \(Permission denied\)"):
            write_atomically(card, "new")
    finally:
        os.seteuid(0)
    assert card.read_text("utf-8") == "old"


def test_a_full_disk_keeps_the_old_file(folder):
    """The kernel refuses to let files grow beyond 2,000 bytes, as a full disk would."""
    (folder / "answer.json").write_text('{"old": true}', "utf-8")

    def small_disk() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

    done = called("outage", "plan.toml", "--json", "answer.json", folder=folder, preexec_fn=small_disk)
    assert done.returncode == 2, done.stderr
    assert "cannot be written" in done.stderr
    assert "Traceback" not in done.stderr
    assert json.loads((folder / "answer.json").read_text("utf-8")) == {"old": True}
    assert not [path for path in folder.rglob(".*") if path.is_file()], "a temporary file was left"


def test_a_missing_font_draws_with_another(folder, tmp_path_factory):
    settings = tmp_path_factory.mktemp("mpl")
    (settings / "matplotlibrc").write_text("font.family: No Such Font\n", "utf-8")
    done = called("run", "plan.toml", folder=folder, env={"MPLCONFIGDIR": str(settings)})
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert (folder / "reports" / "plan-hours" / "winter.png").stat().st_size > 10_000


@pytest.mark.parametrize(
    ("dress", "code", "word"),
    [
        (lambda text: text.replace("\n", "\r\n").encode("utf-8"), 0, ""),
        (lambda text: text.encode("utf-8-sig"), 0, ""),
        (lambda text: text.replace("Perch", "Pérch").encode("latin-1"), 2, "is not UTF-8 text"),
        (lambda text: text.replace('"1.2 m"', '"1,2 m"').encode("utf-8"), 2, '"1.2 m"'),
        (lambda text: text.encode("utf-16"), 2, "is not UTF-8 text"),
    ],
    ids=["windows line ends", "byte order mark", "latin-1", "decimal comma", "utf-16"],
)
def test_plans_in_other_dress(folder, dress, code, word):
    (folder / "plan.toml").write_bytes(dress(short_plan()))
    found, _, err = fuzz.ended("check", "plan.toml")
    assert found == code, err
    assert word in err


def test_csvs_in_other_dress_say_the_same(folder):
    """Windows line ends, a byte order mark, Latin-1 and decimal commas change nothing of the hours."""
    text = fuzz.short_hours()
    comma = text.replace(",", ";").replace(".", ",")
    dresses = {
        "plain": text.encode(), "windows": text.replace("\n", "\r\n").encode(), "bom": text.encode("utf-8-sig"),
        "comma": comma.encode(), "latin": text.replace("air_c", "air_c [°C]", 1).encode("latin-1"),
    }  # fmt: skip
    found = {}
    for name, raw in dresses.items():
        (folder / "given.csv").write_bytes(raw)
        code, out, err = fuzz.ended("climate", "add", "given.csv", "--name", name)
        assert code == 0, (name, out, err)
        found[name] = gzip.decompress((folder / "climates" / f"{name}.csv.gz").read_bytes())
    assert len({body.split(b"\n", 1)[1] for body in found.values()}) == 1


def test_two_runs_in_one_folder(folder):
    both = [
        subprocess.Popen(
            [*COMMAND, "run", "plan.toml", "--json", "answer.json"], cwd=folder, stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(ROOT)}, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    for one in both:
        _, err = one.communicate(timeout=120)
        assert one.returncode == 0, err
    place = folder / "reports" / "plan-hours"
    assert fuzz.read_json(folder / "answer.json")["closure"] < 1e-6
    assert (place / "report.html").read_text("utf-8").rstrip().endswith("</html>")
    assert not [path for path in place.iterdir() if path.name.startswith(".")]


def test_ctrl_c_leaves_a_clean_terminal(folder):
    """On a terminal of its own, broken off at work: no traceback, cursor shown, nobody left behind."""
    many = "".join(
        f'[[measure]]\nname = "m{i}"\ncost = {i}\nset = {{ "room.air_changes" = {0.3 + 0.1 * i:.1f} }}\n'
        for i in range(5)
    )  # beside the demo's own: 2,048 packages take minutes
    (folder / "plan.toml").write_text(WORKSHOP + many, "utf-8")
    leader, follower = pty.openpty()
    child = subprocess.Popen(
        [*COMMAND, "compare", "plan.toml"], cwd=folder, stdin=follower, stdout=follower, stderr=follower,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm"}, start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # where the tests run in the background
    )  # fmt: skip
    os.close(follower)
    time.sleep(2.5)
    os.killpg(child.pid, signal.SIGINT)
    said, began = b"", time.monotonic()
    while True:
        try:
            part = os.read(leader, 4096)
        except OSError:
            break
        if not part:
            break
        said += part
    assert child.wait(timeout=20) == 130
    assert time.monotonic() - began < 5.0
    os.close(leader)
    assert b"Traceback" not in said, said.decode("utf-8", "replace")
    assert said.rfind(b"\x1b[?25h") >= said.rfind(b"\x1b[?25l"), "the cursor stayed hidden"
    with pytest.raises(ProcessLookupError):
        os.killpg(child.pid, 0)

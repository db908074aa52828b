"""Files of a table: formula-safe, whole lines only, and gone on with where a run was broken off."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict, replace

import pytest

from thermal.analysis.table_row import TableRow
from thermal.errors import OverwinterError
from thermal.report.row_files import CSV, HTML, JSONL, PARQUET, XLSX, RowFiles, read_rows
from thermal.report.table_page import table_page

HOSTILE = TableRow(
    "=cmd()", "there", title="<script>alert(1)</script>", verdict="yes", heater_needed_w=930.5, buy="2 × 800 W",
    outage_h=1.5, winters=3, samples=20, latitude=-48.0, currency="@EUR", key="a",
)  # fmt: skip
FAULTY = TableRow("b.toml", "there", "x=1,2", fault='keep, floor: "warm" is no temperature\nat all', key="b")
ROWS = [HOSTILE, FAULTY]


def files_in(folder, *kinds):
    return RowFiles({kind: folder / f"t.{kind}" for kind in kinds})


def test_every_file_has_every_row_and_no_formula(tmp_path):
    openpyxl, pandas = pytest.importorskip("openpyxl"), pytest.importorskip("pandas")
    pytest.importorskip("pyarrow")
    files = files_in(tmp_path, CSV, JSONL, XLSX, PARQUET, HTML)
    files.begin([])
    files.add(ROWS)
    files.finish(ROWS, table_page)
    assert "'=cmd()" in (tmp_path / "t.csv").read_text("utf-8")
    assert json.loads((tmp_path / "t.jsonl").read_text("utf-8").splitlines()[0])["plan"] == "=cmd()"
    heads, first, second = openpyxl.load_workbook(tmp_path / "t.xlsx").active.iter_rows(values_only=True)
    assert first[:2] == ("'=cmd()", "there")
    assert first[heads.index("heater_needed_w")] == 930.5
    assert second[heads.index("heater_needed_w")] is None
    table = pandas.read_parquet(tmp_path / "t.parquet")
    assert table["winters"].dtype == "Int64"
    assert table["heater_needed_w"].tolist()[0] == 930.5
    page = (tmp_path / "t.html").read_text("utf-8")
    assert "&lt;script&gt;alert" not in page  # titles are not shown
    assert page.count("<script") == 1
    assert "://" not in page


def test_rows_are_read_back_as_written(tmp_path):
    files = files_in(tmp_path, CSV, JSONL)
    files.begin(ROWS)
    written_safe = replace(HOSTILE, plan="'=cmd()", currency="'@EUR")
    assert read_rows(tmp_path / "t.jsonl", JSONL) == ROWS
    back = read_rows(tmp_path / "t.csv", CSV)
    assert back[0] == written_safe
    assert back[1].fault == 'keep, floor: "warm" is no temperature\\nat all'


@pytest.mark.parametrize("kind", [CSV, JSONL])
def test_a_broken_last_line_is_dropped(tmp_path, kind):
    files = files_in(tmp_path, kind)
    files.begin([])
    files.add([HOSTILE])
    files.add([replace(FAULTY, fault="short")])
    path = tmp_path / f"t.{kind}"
    whole = path.read_bytes()
    assert [row.key for row in files.rows()] == ["a", "b"]
    for cut in (1, 5, 40):
        path.write_bytes(whole[:-cut])
        assert [row.key for row in files.rows()] == ["a"]


@pytest.mark.parametrize(("cell", "left"), [("a\rb", ["b"]), ("\0", ["b"]), ('"a', []), ("nan", ["b"]), ("inf", ["b"])])
def test_a_line_with_anything_in_it_is_left_out(tmp_path, cell, left):
    assert [row.key for row in read_rows(with_cell(tmp_path, cell), CSV)] == left


@pytest.mark.parametrize(("name", "figure"), [("latitude", 91.0), ("longitude", -181.0), ("heater_needed_w", 1e300)])
def test_a_row_with_a_figure_that_none_can_have_is_left_out(tmp_path, name, figure):
    (tmp_path / "t.jsonl").write_text(json.dumps({**asdict(HOSTILE), name: figure}) + "\n", "utf-8")
    assert read_rows(tmp_path / "t.jsonl", JSONL) == []


def test_a_file_that_is_no_csv_is_refused_in_words(tmp_path):
    with pytest.raises(OverwinterError, match=r"t.csv: a cell is too long .*; delete it"):
        read_rows(with_cell(tmp_path, "x" * 200_000), CSV, "delete it")


def with_cell(folder, cell):
    """A table of two rows whose first has other text for its hours after a power cut."""
    files_in(folder, CSV).begin([HOSTILE, replace(HOSTILE, key="b")])
    path = folder / "t.csv"
    path.write_text(path.read_text("utf-8").replace("1.5", cell, 1), "utf-8", newline="")
    return path


def test_without_a_growing_file_rows_wait_beside_the_first_output(tmp_path):
    files = files_in(tmp_path, HTML)
    files.begin([])
    files.add(ROWS)
    beside = tmp_path / "t.html.rows.jsonl"
    assert [row.key for row in files.rows()] == ["a", "b"]
    files.finish(ROWS, table_page)
    assert not beside.exists()
    assert (tmp_path / "t.html").exists()


def test_a_file_that_is_there_is_not_replaced_unasked(tmp_path):
    files = files_in(tmp_path, CSV)
    files.check(resume=False, force=False)
    (tmp_path / "t.csv").write_text("mine\n")
    with pytest.raises(OverwinterError, match="--resume goes on with its rows"):
        files.check(resume=False, force=False)
    files.check(resume=False, force=True)
    files.check(resume=True, force=False)
    with pytest.raises(OverwinterError, match="no table of this version"):
        files.rows()
    assert (tmp_path / "t.csv").read_text() == "mine\n"
    with pytest.raises(OverwinterError, match="there is no folder"):
        files_in(tmp_path / "none", CSV).check(False, False)
    with pytest.raises(OverwinterError, match="same file name"):
        RowFiles({CSV: tmp_path / "x", JSONL: tmp_path / "x"}).check(False, False)


def test_a_missing_package_is_named_with_its_extra(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    with pytest.raises(OverwinterError, match=r'pip install "overwinter\[xlsx\]"'):
        files_in(tmp_path, XLSX).finish(ROWS, table_page)


def test_one_run_at_a_time_writes_a_file(tmp_path):
    """Two runs on one file mixed their rows; the lock of a run that ended is no obstacle."""
    mine, others = files_in(tmp_path, CSV, HTML), files_in(tmp_path, JSONL)
    with (
        mine.held(resume=False, force=True),
        others.held(resume=False, force=True),
        pytest.raises(OverwinterError, match=r"t\.csv: another `overwinter table` is writing it"),
        files_in(tmp_path, CSV).held(resume=True, force=False),
    ):
        raise AssertionError
    with mine.held(resume=False, force=False):
        mine.begin([])
    with pytest.raises(OverwinterError, match="is there already"), mine.held(resume=False, force=False):
        raise AssertionError
    assert [path.name for path in tmp_path.iterdir()] == ["t.csv"]


def test_the_page_shows_temperatures_in_the_units_of_the_reader():
    cold = replace(HOSTILE, coldest_unheated_c=-2.5)
    for system, head, figure in (("metric", "(°C)", ">-2.5<"), ("us", "(°F)", ">27.5<")):
        page = table_page([cold, FAULTY], system)
        assert f"coldest water, unheated {head}" in page
        assert figure in page


def test_the_page_says_what_few_samples_do_to_the_bands():
    assert "low ends come out 4 to 6 % too high" in table_page(ROWS)
    assert "low ends" not in table_page([replace(HOSTILE, samples=200)])

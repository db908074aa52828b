"""No report of one plan takes the place of another plan's."""

from __future__ import annotations

import pytest

from thermal.plan.example_plans import example_path
from thermal.report.report_folder import folder_name, report_folder


def test_the_folder_is_named_by_plan_file_and_weather(tmp_path):
    folder = report_folder(tmp_path / "reports", tmp_path / "My Garage.toml", "springfield-il")
    assert folder == tmp_path / "reports" / "my-garage-springfield-il"
    assert report_folder(tmp_path / "reports", tmp_path / "My Garage.toml", "springfield-il") == folder
    assert report_folder(tmp_path / "reports", tmp_path / "My Garage.toml", "data/Here.csv.gz").name == "my-garage-here"


def test_a_plan_of_the_same_name_from_elsewhere_gets_its_own_folder(tmp_path):
    clients = [tmp_path / name / "plan.toml" for name in ("ann", "ben", "ann")]
    first, second, again = (report_folder(tmp_path / "all", plan, "newark-nj") for plan in clients)
    assert (first.name, second.name) == ("plan-newark-nj", "plan-newark-nj-2")
    assert again == first


def test_files_that_are_no_report_are_left_alone(tmp_path):
    mine = tmp_path / "plan-newark-nj"
    mine.mkdir()
    (mine / "report.html").write_text("mine")
    assert report_folder(tmp_path, tmp_path / "plan.toml", "newark-nj").name == "plan-newark-nj-2"
    (tmp_path / "plan-golden-co").write_text("a file")
    assert report_folder(tmp_path, tmp_path / "plan.toml", "golden-co").name == "plan-golden-co-2"


def test_a_report_moved_with_its_plan_is_still_its_report(tmp_path):
    report_folder(tmp_path / "old" / "reports", tmp_path / "old" / "plan.toml", "newark-nj")
    (tmp_path / "old").rename(tmp_path / "new")
    moved = report_folder(tmp_path / "new" / "reports", tmp_path / "new" / "plan.toml", "newark-nj")
    assert moved.name == "plan-newark-nj"


def test_a_ready_plan_does_not_say_where_the_package_is(tmp_path):
    folder = report_folder(tmp_path, example_path("workshop"), "springfield-il")
    assert "the ready plan workshop" in (folder / "made-from.txt").read_text("utf-8")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("金魚とレタス", "金魚とレタス"),
        ("Гараж 2", "гараж-2"),
        ("a/../b", "a-b"),
        ("...", "plan"),
        ("Bücher_x", "bücher-x"),
    ],
)
def test_names_in_any_script(text, name):
    assert folder_name(text) == name


def test_a_long_name_fits_a_file_system(tmp_path):
    assert report_folder(tmp_path, tmp_path / ("水" * 80 + ".toml"), "水" * 80).is_dir()

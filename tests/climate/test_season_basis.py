"""Which winter the energy and cost of a season are those of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.analysis.quick import assess
from thermal.analysis.assessment import FullAssessment
from thermal.analysis.design_study import comparison_of, design_study, study_results, uncertainty_of
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate
from thermal.climate.season_basis import SeasonBasis, season_basis
from thermal.report import comparison_text, sentences, uncertainty_text
from thermal.report.assessment_tables import headline, winters_table
from thermal.report.json_csv import compare_json, full_assessment_json, packages_csv


@pytest.fixture(scope="module")
def answers(workshop_text):
    """Answers of the demo plan, without its measures, by its winters."""
    import tomllib

    from thermal.analysis.plan_weather import scene_of
    from thermal.plan.reader import plan_of

    made = {}

    def answer(*years: int) -> FullAssessment:
        if years not in made:
            document = tomllib.loads(workshop_text)
            document["climate"]["winters"] = list(years)
            document["measure"] = document["measure"][:1]
            case = scene_of(plan_of(document))
            study = design_study(case, comparison=True, samples=6)
            results = study_results(study)
            uncertainty = uncertainty_of(study, results)
            made[years] = FullAssessment(assess(case, uncertainty), comparison_of(study, results))
        return made[years]

    return answer


def shown(full: FullAssessment) -> str:
    """All that terminal and page say of seasons."""
    assessment = full.assessment
    plan = assessment.case.plan
    tables = [
        winters_table(assessment), uncertainty_text.bands_table(plan, full.uncertainty),
        comparison_text.floors_table(plan, full.comparison), comparison_text.packages_table(plan, full.comparison),
        comparison_text.ranking_table(plan, full.comparison), comparison_text.ways_table(plan, full.comparison),
    ]  # fmt: skip
    return " ".join([
        sentences.verdict(assessment), sentences.basis(assessment.case), sentences.damp(assessment),
        sentences.season_winter(assessment), comparison_text.floor_sentence(plan, full.comparison),
        comparison_text.advice(plan, full.comparison), *sentences.buy_list(full), *map(" ".join, headline(full)),
        *comparison_text.alts(plan, full.comparison).values(),
        *(warning.text for warning in assessment.warnings),
        *(cell for table in tables for row in (table.heads, *table.cells) for cell in row),
    ])  # fmt: skip


def test_no_figure_of_a_season_comes_from_an_incomplete_winter(answers):
    full = answers(2017)
    answer, compared = full_assessment_json(full), compare_json(full.assessment.case, full.comparison)
    season = answer["season"]
    for key in ("winter", "kwh", "cost", "median_kwh", "median_cost", "other_kwh", "other_cost"):
        assert season[key] is None, key
    assert season["worst"] == {"winter": None, "kwh": None, "cost": None}
    assert season["complete_winters"] == 0
    assert [winter["kwh"] for winter in answer["climate"]["winters"]] == [None]
    assert not {"kwh", "cost", "worst_kwh", "worst_cost"} & answer["spread"]["bands"].keys()
    for package in (*answer["packages"], *compared["packages"]):
        for key in ("kwh", "winter_cost", "worst_kwh", "worst_cost", "saves", "payback_winters"):
            assert package[key] is None, key
    assert all(step["kwh"] is None and step["cost"] is None for step in answer["floors"])
    assert all(step["saves"] is None for step in compared["ladder"])
    assert full.assessment.heater.needed_w > 0  # but the heater is sized
    text = shown(full)
    for word in ("typical", "median", "a winter ", "worst winter", "pays back"):
        assert word not in text.replace("no energy or cost of a winter is given", ""), word
    assert "no energy or cost of a winter is given" in text
    assert "in the days covered" in text
    row = dict(zip(*(line.split(",") for line in packages_csv(full.comparison).splitlines()[:2]), strict=True))
    assert row["kwh_median_winter"] == row["cost_worst_winter"] == row["payback_winters"] == ""


def test_one_complete_winter_is_named_and_never_called_median_or_worst(answers):
    full = answers(2016, 2017)
    answer = full_assessment_json(full)
    assert answer["season"]["winter"] == "2016"
    assert answer["season"]["kwh"] > 0
    assert answer["season"]["complete_winters"] == 1
    assert answer["season"]["worst"] == {"winter": None, "kwh": None, "cost": None}
    assert not {"worst_kwh", "worst_cost"} & answer["spread"]["bands"].keys()
    assert {winter["winter"]: winter["kwh"] is None for winter in answer["climate"]["winters"]} == {
        "2016": False, "2017": True,
    }  # fmt: skip
    text = shown(full)
    assert "in winter 2016, the only complete one" in sentences.verdict(full.assessment)
    for word in ("typical", "median", "worst winter"):
        assert word not in text, word


def test_verdict_and_table_name_the_same_winter(answers):
    assessment = answers(2016, 2017).assessment
    marked = [row[0] for row in winters_table(assessment).cells if "coldest" in row[0]]
    assert marked == ["2017 (incomplete, coldest)"]
    assert "h of winter 2017" in sentences.verdict(assessment)
    hours = next(row[3] for row in winters_table(assessment).cells if "coldest" in row[0])
    assert f"for {hours} h of winter 2017" in sentences.verdict(assessment)


def test_a_winter_of_two_halves_is_said_to_be_one(case_with):
    case = case_with({"climate.series": "newark-nj"})
    assert case.season == SeasonBasis(1, "2013", joined=True)
    assessment = assess(case)
    assert "in winter 2013, put together from the halves of 2013" in sentences.verdict(assessment)
    assert "No such winter occurred." in sentences.basis(case)
    assert [warning.code for warning in assessment.warnings].count("joined-winter") == 1


def test_several_complete_winters_have_a_median_and_a_worst_one():
    weather = winters_of(load_climate("springfield-il"))
    three = replace(weather, winters=tuple(replace(winter, complete=True) for winter in weather.winters))
    assert season_basis(three).has_median
    assert season_basis(three).phrase == "a typical winter"
    assert season_basis(weather).phrase == "winter 2016, the only complete one"
    assert season_basis(winters_of(load_climate("golden-co"))).phrase == "a typical winter"

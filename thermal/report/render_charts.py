"""All charts of a page as PNG.

The plotting library takes half a second to read, so it is read with the first chart: by then other processes simulate.
"""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.comparison_results import Comparison
from thermal.plan.model import Plan


def assessment_charts(assessment: Assessment) -> dict[str, bytes]:
    """Charts of the coldest winter, the months, the peak hour and a power cut, by name."""
    from thermal.report import charts

    return {
        "winter": charts.png(charts.winter_chart(assessment)),
        "months": charts.png(charts.months_chart(assessment)),
        "design": charts.png(charts.design_chart(assessment)),
        "outage": charts.png(charts.outage_chart(assessment)),
    }


def comparison_charts(plan: Plan, comparison: Comparison) -> dict[str, bytes]:
    """Charts of the packages and of the minimum temperatures, by name."""
    from thermal.report.charts import png
    from thermal.report.comparison_charts import floors_chart, packages_chart

    return {"packages": png(packages_chart(plan, comparison)), "floors": png(floors_chart(plan, comparison))}

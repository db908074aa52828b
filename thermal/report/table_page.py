"""The page of a table of many plans: a table that a click on a heading sorts, and small charts."""

from __future__ import annotations

import base64
from collections.abc import Sequence

from thermal.analysis.table_row import TableRow
from thermal.report.answer_table import bands_sentence, fault_lines, page_cells, page_heads
from thermal.report.html import render_page, script

MOST_ROWS = 5000  # of the page: with more a browser is slow
CHARTS = {
    "heater_needed_w": "heater needed (W)",
    "typical_kwh": "heating, typical winter (kWh)",
    "worst_kwh": "heating, worst winter (kWh)",
}


def table_page(rows: Sequence[TableRow], system: str = "metric") -> str:
    """The HTML page; every text of plans and file names is escaped.

    Parameters
    ----------
    rows : sequence of TableRow
        The rows.
    system : str
        Units of the page: metric, us or imperial.
    """
    from thermal.report.charts import png
    from thermal.report.table_chart import left_out, table_chart

    figures = {column: table_chart(rows, column, label) for column, label in CHARTS.items()}
    pictures = {column: _data_address(png(figure)) for column, figure in figures.items() if figure}
    samples = next((row.samples for row in rows if row.samples is not None), 0)
    return render_page(
        "table.html",
        {
            "title": f"{len(rows):,} answers",
            "count": len(rows),
            "shown": min(len(rows), MOST_ROWS),
            "heads": page_heads(system),
            "rows": [page_cells(row, system) for row in rows[:MOST_ROWS]],
            "faults": fault_lines(rows),
            "bands": bands_sentence(samples or 0),
            "left_out": left_out(rows),
            "charts": [(CHARTS[column], picture) for column, picture in pictures.items()],
        },
        (script("table.js"),),
    )


def _data_address(picture: bytes) -> str:
    """A PNG picture as an address that holds it."""
    return f"data:image/png;base64,{base64.b64encode(picture).decode('ascii')}"

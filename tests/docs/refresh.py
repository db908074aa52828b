"""Writes every generated part of README.md and reports/outside-checks.md anew. The demo's report is not one of them.

python -m tests.docs.refresh
"""

from __future__ import annotations

from tests.docs import plan_keys, ready_plans, sample_answer
from tests.published import table


def main() -> None:
    """The plan keys, the sample answer, the ready plans, the outside checks."""
    for part in (plan_keys, sample_answer, ready_plans, table):
        part.main()


if __name__ == "__main__":
    main()

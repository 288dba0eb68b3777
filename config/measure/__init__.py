"""Benchmarks, each beside a bare baseline of the same run. `GROUPS` is what `manage.py measure` knows by name."""

from config.measure import months, plan

GROUPS = {"plan": plan.rows, "months": months.rows}

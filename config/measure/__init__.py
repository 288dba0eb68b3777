"""Benchmarks, each beside a bare baseline of the same run. `GROUPS` is what `manage.py measure` knows by name."""

from config.measure import confirm, demo, entry, months, pages, papers, plan, server, setting_aside, writers

GROUPS = {
    "plan": plan.rows,
    "months": months.rows,
    "writers": writers.rows,
    "confirm": confirm.rows,
    "setting_aside": setting_aside.rows,
    "demo": demo.rows,
    "entry": entry.rows,
    "papers": papers.rows,
    "pages": pages.rows,
    "server": server.rows,
}

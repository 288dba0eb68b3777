"""Late lines of a plan as rows of a table, each with the one limit that binds it."""

from inventory.models import Candle
from production.dip_plan.explain import why_late
from production.plan_words import days_late, late_lines, short_day
from production.queries.plan_read import Read
from production.tables.dip_plan import LateRow

LAST = 10**6  # days: a line that is not finished stands before every other


def late_rows(read: Read) -> list[LateRow]:
    """Those not finished first, then the latest. One query."""
    problem, why = read.problem, why_late(read.problem, read.plan)
    lines = late_lines(problem, read.plan)
    keys = {problem.items[problem.wants[line.want].item].key for line in lines}
    candles = Candle.objects.select_related("colour").in_bulk(keys)
    last = problem.days[problem.halves[-1].day].date if problem.halves else None
    rows = []
    for line in lines:
        want = problem.wants[line.want]
        item = problem.items[want.item]
        rows.append(
            LateRow(
                candle=candles.get(item.key),
                name=item.name,
                whom=want.label,
                pairs=want.pairs,
                due=want.due,
                ready=short_day(line.done) if line.done else "–",
                late=days_late(line, last or want.due),
                order=LAST if line.days is None else line.days,
                why=why.get(line.want, ""),
            )
        )
    return rows

"""Today: the page after signing in. What should leave, what it lacks, and what is the next thing to do."""

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import ROLES, for_roles, works_as
from inventory.queries.materials import overdue_said
from orders.buying import today_line
from orders.queries import today as facts
from orders.queries.at_risk import at_risk
from orders.queries.book import open_book
from orders.queries.buying import what_to_buy
from orders.queries.complaints import complaints_said
from orders.queries.evidence import pressing_evidence
from orders.queries.post import letters_stranded
from orders.standing import due_day, due_sentence
from orders.tables.promising import AtRiskTable
from orders.tables.today import DueTable, ShortfallTable, ShortTable
from orders.today import today_sentence
from production.queries.shortfalls import shortfalls


@for_roles(*ROLES)
@require_safe
def today(request):
    day = timezone.localdate()
    until, book = due_day(day), open_book()
    person = request.user
    fell_short = shortfalls()
    buys = works_as(person, "packer", "dipper")
    risks = at_risk(day) if works_as(person, "packer", "bookkeeper") else []
    context = {
        "headline": today_sentence(facts.leaving(day, book), day),
        "week": due_sentence(book.dues, until),
        "until": until,
        "due": DueTable(
            facts.due_orders(until).order_by("ship_by", "shop__rank", "number"), orderable=False, book=book
        ),
        "short": ShortTable(facts.short_candles(until), orderable=False),
        "fell_short": ShortfallTable(fell_short, orderable=False) if fell_short else None,
        "waiting": facts.waiting(),
        "at_risk": AtRiskTable(risks) if risks else None,
        "letters_stranded": letters_stranded(person),
        "sees_book": works_as(person, "packer", "bookkeeper"),
        "packs": works_as(person, "packer"),
        "dips": works_as(person, "dipper"),
        "invoices": works_as(person, "bookkeeper"),
        "complaints": complaints_said(day) if works_as(person, "packer", "bookkeeper") else "",
        "evidence": pressing_evidence(day) if works_as(person, "bookkeeper") else (),
        "today_day": day,
        "overdue_material": overdue_said(day) if buys else "",
        "to_order": today_line([row.known for row in what_to_buy(day)], day) if buys else "",
    }
    return render(request, "orders/today.html", context)

"""The letters the book wrote: which went, which did not and why."""

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles
from inventory.views.paging import RequestConfig
from inventory.words import counted
from orders.domain.post import drop_letter, send_again
from orders.forms.payments import TriesForm
from orders.queries.post import letters_open_to
from orders.tables.debts import LetterTable, letter_state

PER_PAGE = 50
PLACE = ("packer", "bookkeeper")


@for_roles(*PLACE)
@require_safe
def letters(request):
    rows = letters_open_to(request.user)
    table = LetterTable(rows.select_related("shop"))
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    stranded = list(rows.stranded().order_by("pk"))
    context = {"table": table, "headline": _headline(len(stranded), table.paginator.count), "stranded": stranded,
               "server": settings.MAIL_SERVER, "folder": settings.EMAIL_FILE_PATH}  # fmt: skip
    return render(request, "orders/letters.html", context)


def _headline(stranded: int, every: int) -> str:
    if stranded:
        verb = "was" if stranded == 1 else "were"
        return f"{counted(stranded, 'letter')} {verb} not sent: look at each, then send it again or drop it."
    return f"{counted(every, 'letter')} written, and none waits for you." if every else "No letter was written yet."


@for_roles(*PLACE)
@require_safe
def letter(request, pk):
    row = get_object_or_404(letters_open_to(request.user).select_related("shop", "written_by"), pk=pk)
    context = {
        "letter": row, "stands": letter_state(row), "papers": row.papers.defer("content").order_by("pk"),
        "files": row.files.defer("content").order_by("pk"),
        "server": settings.MAIL_SERVER, "folder": settings.EMAIL_FILE_PATH,
    }  # fmt: skip
    return render(request, "orders/letter.html", context)


@for_roles(*PLACE)
@require_POST
def letter_again(request, pk):
    return _act(request, pk, send_again)


@for_roles(*PLACE)
@require_POST
def letter_drop(request, pk):
    return _act(request, pk, drop_letter)


def _act(request, pk, act):
    row, form = get_object_or_404(letters_open_to(request.user), pk=pk), TriesForm(request.POST)
    if not form.is_valid():
        messages.error(request, "That came from no page of this book. Nothing was changed.")
        return redirect(row)
    try:
        act(letter=row, by=request.user, **form.cleaned_data)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        row.refresh_from_db()
        messages.success(request, f"The letter {letter_state(row)}.")
    return redirect(row)

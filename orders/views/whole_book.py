"""Take it with you: every table of the book in one file."""

import tempfile

from django.http import FileResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles
from orders.queries.whole_book import book_tables, contents
from orders.tables.whole_book import BookTableTable

CONTENTS = "Contents"


@for_roles("owner")
@require_safe
def take_with_you(request):
    tables = book_tables(counted=True)
    context = {
        "table": BookTableTable(tables), "tables": len(tables), "rows": sum(table.rows for table in tables)
    }  # fmt: skip
    return render(request, "orders/whole_book.html", context)


@for_roles("owner")
@require_safe
def take_xlsx(request):
    # openpyxl is loaded with the first workbook, not with every start.
    from inventory.book_out import write_xlsx  # noqa: PLC0415

    return _file(write_xlsx, "xlsx")


@for_roles("owner")
@require_safe
def take_csv(request):
    from inventory.book_out import write_csv_zip  # noqa: PLC0415

    return _file(write_csv_zip, "zip")


def _file(write, ending: str) -> FileResponse:
    """The file, written to the disk first and sent from there, then gone."""
    tables = book_tables()
    # Sent and closed, and so deleted, by the response.
    made = tempfile.TemporaryFile()  # noqa: SIM115
    write(made, [(CONTENTS, contents(tables)), *((table.name, table.rows_of()) for table in tables)])
    made.seek(0)
    return FileResponse(made, as_attachment=True, filename=f"wickturn-{timezone.localdate()}.{ending}")

"""What every list page does: filter, sort, page."""

from inventory.views.paging import RequestConfig

PER_PAGE = 50


def listed(request, table_class, filter_class, rows, **options):
    """(filter, table) of a list page, asked by the address. A page that does not exist shows the last."""
    narrowed = filter_class(request.GET or {}, queryset=rows)
    table = table_class(narrowed.qs, **options)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    return narrowed, table

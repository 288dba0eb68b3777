"""How a table is sorted and which of its pages is shown: what the address asks, within what the house allows."""

import django_tables2
from django.core.paginator import EmptyPage


class RequestConfig(django_tables2.RequestConfig):
    """django-tables2's, but how many rows a page has the view says alone: an address with per_page=1000000 would read
    the whole book at once, and one with per_page=-1 has no page at all.
    """

    def configure(self, table):
        """Sort and page the table; a page that does not exist shows the last, one that is no number the first."""
        paginate, self.paginate = self.paginate, False
        table = super().configure(table)
        if paginate:
            try:
                table.paginate(page=self._page(table), **paginate)
            except EmptyPage:
                table.page = table.paginator.page(table.paginator.num_pages)
        return table

    def _page(self, table) -> int:
        try:
            return int(self.request.GET[table.prefixed_page_field])
        except (KeyError, ValueError):
            return 1

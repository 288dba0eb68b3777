from orders.urls import book, entry, invoices, packing, papers, seconds, setup, shops, today

urlpatterns = [
    *today.urlpatterns,
    *book.urlpatterns,
    *entry.urlpatterns,
    *seconds.urlpatterns,
    *packing.urlpatterns,
    *papers.urlpatterns,
    *invoices.urlpatterns,
    *shops.urlpatterns,
    *setup.urlpatterns,
]

from orders.urls import book, credits, entry, invoices, packing, papers, payments, prices, seconds, setup, shops, today

urlpatterns = [
    *today.urlpatterns,
    *book.urlpatterns,
    *entry.urlpatterns,
    *seconds.urlpatterns,
    *packing.urlpatterns,
    *papers.urlpatterns,
    *invoices.urlpatterns,
    *credits.urlpatterns,
    *payments.urlpatterns,
    *shops.urlpatterns,
    *prices.urlpatterns,
    *setup.urlpatterns,
]

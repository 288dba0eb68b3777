from django.urls import path

from orders.views import e_invoices, papers

urlpatterns = [
    path("papers/<int:pk>.pdf", papers.paper, name="paper"),
    path("papers/<int:pk>/e-invoice.xml", e_invoices.e_invoice_xml, name="e_invoice_xml"),
    path("papers/<int:pk>/e-invoice.pdf", e_invoices.e_invoice_pdf, name="e_invoice_pdf"),
    path("orders/<int:number>/papers/", papers.papers_of, name="papers_of"),
    path("packing/vans/<str:day_text>/papers.pdf", papers.day_papers, name="day_papers"),
]

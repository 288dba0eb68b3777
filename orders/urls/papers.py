from django.urls import path

from orders.views import papers

urlpatterns = [
    path("papers/<int:pk>.pdf", papers.paper, name="paper"),
    path("orders/<int:number>/papers/", papers.papers_of, name="papers_of"),
    path("packing/vans/<str:day_text>/papers.pdf", papers.day_papers, name="day_papers"),
]

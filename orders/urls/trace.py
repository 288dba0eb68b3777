from django.urls import path

from orders.views import complaints, trace

urlpatterns = [
    path("trace/", trace.trace, name="trace"),
    path("trace/<slug:kind>/<int:pk>/", trace.trace_of, name="trace_of"),
    path("trace/<slug:kind>/<int:pk>/recall.pdf", trace.recall_pdf, name="recall_pdf"),
    path("trace/<slug:kind>/<int:pk>/recall.csv", trace.recall_csv, name="recall_csv"),
    path("complaints/", complaints.complaints, name="complaints"),
    path("complaints.csv", complaints.complaints_csv, name="complaints_csv"),
    path("complaints/new/", complaints.complaint_new, name="complaint_new"),
    path("complaints/<int:pk>/", complaints.complaint, name="complaint"),
    path("complaints/<int:pk>/follow/", complaints.complaint_follow, name="complaint_follow"),
    path("complaints/<int:pk>/close/", complaints.complaint_close, name="complaint_close"),
]

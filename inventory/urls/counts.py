from django.urls import path

from inventory.views import counts

urlpatterns = [
    path("counts/", counts.stock_counts, name="stock_counts"),
    path("counts/new/", counts.stock_count_new, name="stock_count_new"),
    path("counts/<int:pk>/", counts.stock_count, name="stock_count"),
    path("counts/<int:pk>/sheet/", counts.stock_count_sheet, name="stock_count_sheet"),
    path("counts/<int:pk>/type-in/", counts.stock_count_type, name="stock_count_type"),
    path("counts/<int:pk>/post/", counts.stock_count_post, name="stock_count_post"),
    path("counts/<int:pk>/discard/", counts.stock_count_discard, name="stock_count_discard"),
]

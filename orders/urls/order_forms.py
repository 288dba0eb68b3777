from django.urls import path

from orders.views import order_forms

urlpatterns = [
    path("order-forms/", order_forms.order_forms, name="order_forms"),
    path("order-forms/<int:pk>/", order_forms.order_form, name="order_form"),
    path("order-forms/back/<int:pk>/", order_forms.form_back, name="form_back"),
    path("shops/<int:pk>/order-form/", order_forms.order_form_new, name="order_form_new"),
    path("kept-files/<int:pk>/", order_forms.kept_file, name="kept_file"),
]

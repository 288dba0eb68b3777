from django.urls import path

from orders.views.today import today

urlpatterns = [path("", today, name="today")]

from django.urls import path

from orders.views import bags

urlpatterns = [path("orders/<int:number>/bags/", bags.order_bags, name="order_bags")]

from importlib import import_module

from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "orders"
    verbose_name = "Orders"

    def ready(self):
        import_module("orders.receivers")

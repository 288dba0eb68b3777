from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "House"

    def ready(self):
        from config import checks, secret_checks, sign_in_log  # noqa: F401, PLC0415 - registers them

"""manage.py audit: what must always be true, re-derived from movements and papers."""

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import connection

from inventory.audit import breaches as inventory_breaches
from orders.audit import breaches as order_breaches
from production.audit import breaches as floor_breaches


class Command(BaseCommand):
    help = "Re-derives the book's invariants; prints one line a breach and exits 1 where there is one."

    def handle(self, *args, **options):
        if connection.vendor == "sqlite":
            self.stderr.write(f"Reading {settings.DATABASES['default']['NAME']}")
        found = 0
        for breach in (*inventory_breaches(), *floor_breaches(), *order_breaches()):
            found += 1
            self.stdout.write(breach)
        if found:
            self.stderr.write(f"{found} breaches.")
            raise SystemExit(1)
        self.stderr.write("No breach found.")

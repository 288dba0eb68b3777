"""Gauge readings, vat readings and weighed wick ends are append-only."""

from django.db import migrations

from inventory.triggers import guard, unguard

TABLES = ("production_gaugereading", "production_vatreading", "production_wickends")


class Migration(migrations.Migration):
    dependencies = [("production", "0002_the_floor")]
    operations = [
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        )
    ]

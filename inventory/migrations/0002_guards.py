"""Movements and the record are append-only."""

from django.db import migrations

from inventory.triggers import guard, unguard

TABLES = ("inventory_movement", "inventory_record")


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_initial")]
    operations = [
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        )
    ]

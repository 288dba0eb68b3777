"""A check sheet gone through is append-only, like every reading."""

from django.db import migrations

from inventory.triggers import guard, unguard


class Migration(migrations.Migration):
    dependencies = [("production", "0006_floor_checks")]
    operations = [
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, "production_floorcheck"),
            lambda apps, schema_editor: unguard(schema_editor, "production_floorcheck"),
        )
    ]

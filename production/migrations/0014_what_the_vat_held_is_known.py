# A migration of its own: PostgreSQL alters no table whose rows were changed in the same transaction.

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0013_what_the_vat_held"),
    ]

    operations = [
        migrations.AlterField(
            model_name="diprun",
            name=name,
            field=models.ForeignKey(
                editable=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to=f"inventory.{name}"
            ),
        )
        for name in ("colour", "wax")
    ]

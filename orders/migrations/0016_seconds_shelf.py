"""The seconds shelf: which kind of box a box of seconds is, steps of age, who wants the list, two new series."""

from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

SERIES = (("seconds list", "SL-", 1001), ("seconds box", "SB-", 101))


def put_first_rows(apps, schema_editor):
    for name, prefix, first in SERIES:
        apps.get_model("orders", "Series").objects.create(name=name, prefix=prefix, next=first)


def take_first_rows(apps, schema_editor):
    apps.get_model("orders", "Series").objects.filter(name__in=[name for name, _, _ in SERIES]).delete()


class Migration(migrations.Migration):
    dependencies = [("orders", "0015_shop_links")]

    operations = [
        # The table is as new as the field: there is no row that the default could be wrong for.
        migrations.AddField(
            model_name="secondsbox",
            name="kind",
            field=models.ForeignKey(
                default=1,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="seconds_boxes",
                to="orders.boxkind",
                verbose_name="kind of box",
            ),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="shop",
            name="wants_seconds_list",
            field=models.BooleanField(default=False, verbose_name="wants the seconds list"),
        ),
        migrations.CreateModel(
            name="SecondsAge",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "days",
                    models.PositiveSmallIntegerField(
                        unique=True,
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(3650),
                        ],
                        verbose_name="from days",
                    ),
                ),
                (
                    "percent",
                    models.DecimalField(
                        decimal_places=2,
                        max_digits=4,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0.01")),
                            django.core.validators.MaxValueValidator(Decimal("90")),
                        ],
                        verbose_name="percent off",
                    ),
                ),
            ],
            options={
                "verbose_name": "step of age",
                "verbose_name_plural": "steps of age",
                "ordering": ["days"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("days__gt", 0), ("percent__gt", 0), ("percent__lte", Decimal("90"))),
                        name="seconds_age_bounds",
                    )
                ],
            },
        ),
        migrations.RunPython(put_first_rows, take_first_rows),
    ]

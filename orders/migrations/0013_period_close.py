"""Closing a period of the books is on record for good."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from inventory.triggers import guard, unguard


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0012_e_invoices'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='PeriodClose',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('until', models.DateField(null=True)),
                ('reason', models.CharField(blank=True, max_length=200, verbose_name='why they were opened again')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-pk'],
            },
        ),
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, "orders_periodclose"),
            lambda apps, schema_editor: unguard(schema_editor, "orders_periodclose"),
        ),
    ]

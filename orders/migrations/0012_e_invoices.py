"""E-invoices are stored once, like the papers they stand beside."""

import django.db.models.deletion
from django.db import migrations, models

from inventory.triggers import guard, unguard


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0011_promise_guards'),
    ]

    operations = [
        migrations.CreateModel(
            name='EInvoice',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('syntax', models.CharField(choices=[('ubl', 'XML, UBL 2.1'), ('hybrid', 'PDF with its data inside')], max_length=6)),
                ('data', models.BinaryField()),
                ('sha256', models.CharField(max_length=64)),
                ('made_at', models.DateTimeField()),
                ('paper', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='e_invoices', to='orders.paper')),
            ],
            options={
                'ordering': ['paper', 'syntax'],
                'constraints': [models.UniqueConstraint(fields=('paper', 'syntax'), name='e_invoice_once_a_syntax')],
            },
        ),
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, "orders_einvoice"),
            lambda apps, schema_editor: unguard(schema_editor, "orders_einvoice"),
        ),
    ]

"""A date once promised is never changed; orders are acknowledged on paper."""

from django.db import migrations, models

from inventory.triggers import guard, unguard

TABLES = ("orders_promiseddate",)


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0010_payment_guards'),
    ]

    operations = [
        migrations.AlterField(
            model_name='paper',
            name='kind',
            field=models.CharField(choices=[('delivery note', 'delivery note'), ('packing slip', 'packing slip'), ('invoice', 'invoice'), ('credit note', 'credit note'), ('pro forma', 'pro forma'), ('statement', 'statement'), ('reminder', 'reminder'), ('late charge', 'late charge'), ('acknowledged', 'order acknowledgement')], max_length=14),
        ),
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        ),
    ]

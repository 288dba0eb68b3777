"""Order forms made for shops, what came back of them, and files kept as they are: none of them changes."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from inventory.triggers import guard, unguard

TABLES = ("orders_keptfile", "orders_orderform", "orders_formback")


def put_first_row(apps, schema_editor):
    apps.get_model("orders", "Series").objects.create(name="order form", prefix="OF-", next=101)


def take_first_row(apps, schema_editor):
    apps.get_model("orders", "Series").objects.filter(name="order form").delete()


class Migration(migrations.Migration):

    dependencies = [
        ('orders', '0018_complaints'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='KeptFile',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('media_type', models.CharField(max_length=100)),
                ('content', models.BinaryField()),
                ('sha256', models.CharField(max_length=64)),
                ('kept_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='letter',
            name='files',
            field=models.ManyToManyField(blank=True, related_name='letters', to='orders.keptfile'),
        ),
        migrations.CreateModel(
            name='OrderForm',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField(unique=True)),
                ('currency', models.CharField(choices=[('GBP', 'GBP, pounds sterling'), ('EUR', 'EUR, euro'), ('USD', 'USD, US dollars'), ('CHF', 'CHF, Swiss francs'), ('SEK', 'SEK, Swedish kronor'), ('NOK', 'NOK, Norwegian kroner'), ('DKK', 'DKK, Danish kroner')], default='GBP', max_length=3)),
                ('first_day', models.DateField(verbose_name="the van's days from")),
                ('last_day', models.DateField(verbose_name='to')),
                ('note', models.CharField(blank=True, max_length=300, verbose_name='word to the shop')),
                ('rows', models.JSONField()),
                ('made_on', models.DateField()),
                ('made_at', models.DateTimeField()),
                ('submission', models.UUIDField(help_text='The same page sent twice makes one form.', unique=True)),
                ('file', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='order_form', to='orders.keptfile')),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='order_forms', to='orders.shop')),
            ],
            options={
                'ordering': ['-pk'],
            },
        ),
        migrations.CreateModel(
            name='FormBack',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sha256', models.CharField(db_index=True, max_length=64)),
                ('told', models.JSONField(default=list)),
                ('rows', models.JSONField(default=list)),
                ('read_at', models.DateTimeField()),
                ('order', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='came_as', to='orders.order')),
                ('read_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('file', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='form_back', to='orders.keptfile')),
                ('form', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='backs', to='orders.orderform')),
            ],
            options={
                'verbose_name': 'form that came back',
                'verbose_name_plural': 'forms that came back',
                'ordering': ['-pk'],
            },
        ),
        migrations.AddIndex(
            model_name='orderform',
            index=models.Index(fields=['shop', '-made_on'], name='order_form_shop_made'),
        ),
        migrations.AddConstraint(
            model_name='orderform',
            constraint=models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='order_form_days_in_order'),
        ),
        migrations.RunPython(put_first_row, take_first_row),
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        ),
    ]

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("production", "0016_found_later")]

    # SQLite adds a column that may be empty without rebuilding the table: its guards stay.
    operations = [
        migrations.AddField(
            model_name="remelt",
            name="left",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="still lying for remelt (g)"),
        ),
    ]

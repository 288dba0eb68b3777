from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0023_line_lets_go_of_its_want")]

    operations = [
        migrations.AddIndex(
            model_name="paymentpart", index=models.Index(fields=["payment", "amount"], name="part_of_payment")
        ),
        migrations.AddIndex(
            model_name="paymentpart", index=models.Index(fields=["invoice", "amount"], name="part_of_invoice")
        ),
    ]

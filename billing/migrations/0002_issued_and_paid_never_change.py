"""The database itself refuses to change what was issued, paid or allocated."""

from django.db import migrations

from billing.triggers import freeze, thaw


class Migration(migrations.Migration):
    dependencies = [("billing", "0001_invoices_rates_and_payments")]

    operations = [migrations.RunPython(freeze, thaw)]

from django.db import migrations


def say_what_has_arrived(apps, schema_editor):
    """Every photograph that is shown was handed over for its wall."""
    photographs = apps.get_model("photos", "Photograph").objects
    arrivals = apps.get_model("ledger", "BlobArrival").objects
    for wall, blob in set(photographs.values_list("survey__wall_id", "blob_id")):
        arrivals.get_or_create(wall_id=wall, blob_id=blob)


class Migration(migrations.Migration):
    dependencies = [
        ("photos", "0002_initial"),
        ("ledger", "0002_devices"),
        ("record", "0001_initial"),
    ]

    operations = [migrations.RunPython(say_what_has_arrived, migrations.RunPython.noop)]

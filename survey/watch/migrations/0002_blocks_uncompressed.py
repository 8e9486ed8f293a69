"""PostgreSQL tries to compress packed readings, which takes longer than storing them; now it does not."""

from django.db import migrations

TABLE, COLUMNS = "watch_readingblock", ("times", "values")


def _store_as(storage):
    def change(apps, editor):
        if editor.connection.vendor == "postgresql":
            for column in COLUMNS:
                editor.execute(f'ALTER TABLE {TABLE} ALTER COLUMN "{column}" SET STORAGE {storage}')

    return change


class Migration(migrations.Migration):
    dependencies = [("watch", "0001_initial")]
    operations = [migrations.RunPython(_store_as("EXTERNAL"), _store_as("EXTENDED"))]

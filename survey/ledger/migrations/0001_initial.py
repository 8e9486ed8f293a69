import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("gridmap", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Blob",
            fields=[
                ("digest", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("size_bytes", models.PositiveBigIntegerField()),
                ("mime", models.CharField(max_length=80)),
                ("received_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="Logbook",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "name",
                    models.CharField(
                        blank=True, help_text="Survey code; empty: standing", max_length=40
                    ),
                ),
                (
                    "wall",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="logbooks",
                        to="gridmap.wall",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("seq", models.PositiveBigIntegerField()),
                ("object_id", models.UUIDField()),
                ("kind", models.CharField(max_length=40)),
                ("kind_version", models.PositiveSmallIntegerField()),
                ("body", models.BinaryField()),
                ("digest", models.CharField(max_length=64)),
                ("observed_by", models.CharField(max_length=150)),
                ("recorded_by", models.CharField(max_length=150)),
                ("carried_by", models.CharField(max_length=150)),
                ("device", models.CharField(max_length=80)),
                ("device_seq", models.PositiveBigIntegerField(null=True)),
                ("made_at", models.DateTimeField()),
                ("received_at", models.DateTimeField()),
                (
                    "logbook",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="ledger.logbook",
                    ),
                ),
            ],
            options={
                "ordering": ["logbook_id", "seq"],
            },
        ),
        migrations.CreateModel(
            name="SetAside",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("raw", models.BinaryField()),
                ("reason", models.TextField()),
                ("device", models.CharField(max_length=80)),
                ("received_at", models.DateTimeField()),
                (
                    "logbook",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="set_aside",
                        to="ledger.logbook",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="EntryParent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parent_links",
                        to="ledger.entry",
                    ),
                ),
                (
                    "parent",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="child_links",
                        to="ledger.entry",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("entry", "parent"), name="parent_named_once")
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="logbook",
            constraint=models.UniqueConstraint(
                fields=("wall", "name"), name="one_logbook_of_a_name"
            ),
        ),
        migrations.AddIndex(
            model_name="entry",
            index=models.Index(fields=["logbook", "object_id"], name="entry_object"),
        ),
        migrations.AddConstraint(
            model_name="entry",
            constraint=models.UniqueConstraint(fields=("logbook", "seq"), name="entry_place_once"),
        ),
        migrations.AddConstraint(
            model_name="entry",
            constraint=models.UniqueConstraint(
                fields=("device", "device_seq"), name="entry_of_device_once"
            ),
        ),
    ]

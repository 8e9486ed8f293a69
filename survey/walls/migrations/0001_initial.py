import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("gridmap", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Phase",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveSmallIntegerField()),
                ("name", models.CharField(max_length=120)),
                ("starts_on", models.DateField()),
                ("ends_on", models.DateField()),
                ("works", models.TextField(blank=True)),
                ("activities", models.JSONField(blank=True, default=list)),
                (
                    "wall",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="phases",
                        to="gridmap.wall",
                    ),
                ),
            ],
            options={
                "ordering": ["wall_id", "number"],
                "constraints": [
                    models.UniqueConstraint(fields=("wall", "number"), name="phase_number_once"),
                    models.CheckConstraint(
                        condition=models.Q(("ends_on__gte", models.F("starts_on"))),
                        name="phase_ends_after_start",
                    ),
                ],
            },
        ),
    ]

import django.utils.timezone
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Job",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=40)),
                ("title", models.CharField(max_length=200)),
                ("arguments", models.JSONField(default=dict)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting for the worker"),
                            ("running", "Running"),
                            ("done", "Done"),
                            ("failed", "Failed"),
                            ("cancelled", "Cancelled"),
                        ],
                        default="waiting",
                        max_length=12,
                    ),
                ),
                ("done", models.PositiveIntegerField(default=0)),
                ("total", models.PositiveIntegerField(default=0)),
                ("message", models.TextField(blank=True)),
                ("cancel_asked", models.BooleanField(default=False)),
                ("result", models.JSONField(default=dict)),
                ("made_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("ended_at", models.DateTimeField(null=True)),
            ],
            options={
                "ordering": ["-made_at", "-pk"],
            },
        ),
    ]

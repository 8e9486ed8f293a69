import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('gridmap', '0001_initial'),
        ('record', '0001_initial'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Installation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('epoch', models.UUIDField(default=uuid.uuid4)),
                ('since', models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name='Tablet',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=60)),
                ('enrolled_at', models.DateTimeField()),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('retired_because', models.CharField(blank=True, max_length=300)),
                ('last_contact_at', models.DateTimeField(blank=True, null=True)),
                ('last_carried_by', models.CharField(blank=True, max_length=150)),
                ('received_to', models.PositiveBigIntegerField(default=0, help_text='Everything that it numbered up to here is held')),
                ('unsent', models.PositiveIntegerField(default=0, help_text='Entries, as of its last contact')),
                ('photographs_unsent', models.PositiveIntegerField(default=0)),
                ('enrolled_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('retired_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('survey', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tablets', to='record.survey')),
                ('wall', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tablets', to='gridmap.wall')),
            ],
            options={
                'ordering': ['wall_id', 'enrolled_at', 'id'],
            },
        ),
    ]

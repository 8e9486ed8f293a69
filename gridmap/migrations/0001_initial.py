
import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='Wall',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('slug', models.SlugField(max_length=40, unique=True)),
                ('name', models.CharField(max_length=120)),
                ('title', models.CharField(blank=True, help_text='Title of the painting', max_length=200)),
                ('artist', models.CharField(blank=True, max_length=200)),
                ('made', models.CharField(blank=True, help_text='Date or period, as known', max_length=60)),
                ('technique', models.CharField(blank=True, max_length=200)),
                ('place', models.CharField(blank=True, max_length=200)),
                ('owner', models.CharField(blank=True, max_length=200)),
                ('inventory_number', models.CharField(blank=True, max_length=80)),
                ('contractor', models.CharField(blank=True, max_length=200)),
                ('insurer', models.CharField(blank=True, max_length=200)),
                ('base_above_floor_in', models.FloatField(default=0.0)),
                ('invented', models.BooleanField(default=False, help_text='Invented demo data')),
                ('created_at', models.DateTimeField(default=django.utils.timezone.now)),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Layout',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField()),
                ('width_in', models.FloatField()),
                ('height_in', models.FloatField()),
                ('grid_json', models.JSONField()),
                ('openings', models.JSONField(default=list)),
                ('zones', models.JSONField(default=list)),
                ('decks', models.JSONField(default=list)),
                ('obstructions', models.JSONField(default=list)),
                ('note', models.CharField(blank=True, max_length=300)),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('made_by', models.CharField(blank=True, max_length=150)),
                ('wall', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='layouts', to='gridmap.wall')),
            ],
            options={
                'ordering': ['wall_id', 'version'],
                'constraints': [models.UniqueConstraint(fields=('wall', 'version'), name='layout_version_once'), models.CheckConstraint(condition=models.Q(('height_in__gt', 0), ('width_in__gt', 0)), name='layout_has_extent')],
            },
        ),
    ]

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('gridmap', '0001_initial'),
        ('ledger', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='BlobArrival',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
            ],
        ),
        migrations.CreateModel(
            name='SetAsideSettled',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('settled_by', models.CharField(max_length=150)),
                ('settled_at', models.DateTimeField()),
                ('reason', models.TextField(blank=True)),
            ],
        ),
        migrations.AlterModelOptions(
            name='setaside',
            options={'ordering': ['logbook_id', 'id']},
        ),
        migrations.AddField(
            model_name='setaside',
            name='carried_by',
            field=models.CharField(blank=True, max_length=150),
        ),
        migrations.AddField(
            model_name='setaside',
            name='claimed_id',
            field=models.UUIDField(help_text="The entry's id as sent, where it reads", null=True),
        ),
        migrations.AddField(
            model_name='setaside',
            name='device_seq',
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name='setaside',
            name='raw_digest',
            field=models.CharField(default='', help_text='SHA-256 of raw: the same is kept once', max_length=64),
            preserve_default=False,
        ),
        migrations.AddIndex(
            model_name='setaside',
            index=models.Index(fields=['device', 'device_seq'], name='set_aside_of_device'),
        ),
        migrations.AddConstraint(
            model_name='setaside',
            constraint=models.UniqueConstraint(fields=('logbook', 'device', 'raw_digest'), name='set_aside_once'),
        ),
        migrations.AddField(
            model_name='blobarrival',
            name='blob',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='arrivals', to='ledger.blob'),
        ),
        migrations.AddField(
            model_name='blobarrival',
            name='wall',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='blob_arrivals', to='gridmap.wall'),
        ),
        migrations.AddField(
            model_name='setasidesettled',
            name='entry',
            field=models.OneToOneField(help_text='None: left out', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='ledger.entry'),
        ),
        migrations.AddField(
            model_name='setasidesettled',
            name='set_aside',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='settled', to='ledger.setaside'),
        ),
        migrations.AddConstraint(
            model_name='blobarrival',
            constraint=models.UniqueConstraint(fields=('wall', 'blob'), name='blob_arrives_once'),
        ),
    ]

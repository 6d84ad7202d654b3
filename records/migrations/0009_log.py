# The log over all entries, its tree, its checkpoints and where they were anchored.

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0008_gauge_studies'),
    ]

    operations = [
        migrations.CreateModel(
            name='Checkpoint',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('size', models.PositiveBigIntegerField()),
                ('root', models.CharField(max_length=64)),
                ('key_id', models.CharField(max_length=8)),
                ('note', models.BinaryField()),
                ('made_at', models.DateTimeField()),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('size', 'key_id'), name='one_head_per_size_and_key')],
            },
        ),
        migrations.CreateModel(
            name='LogEntry',
            fields=[
                ('index', models.PositiveBigIntegerField(primary_key=True, serialize=False)),
                ('leaf', models.CharField(max_length=64)),
                ('entry', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.entry')),
            ],
            options={
                'verbose_name_plural': 'log entries',
            },
        ),
        migrations.CreateModel(
            name='LogNode',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('level', models.PositiveSmallIntegerField()),
                ('place', models.PositiveBigIntegerField()),
                ('hash', models.CharField(max_length=64)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('level', 'place'), name='one_node_per_place')],
            },
        ),
        migrations.CreateModel(
            name='CheckpointAnchor',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.CharField(max_length=200)),
                ('anchored_at', models.DateTimeField()),
                ('checkpoint', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='anchors', to='records.checkpoint')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('checkpoint', 'place'), name='anchored_once_a_place')],
            },
        ),
    ]

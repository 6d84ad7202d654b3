from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0002_recalls'),
    ]

    operations = [
        migrations.CreateModel(
            name='TaskProgress',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('task', models.CharField(max_length=120)),
                ('key', models.CharField(max_length=120)),
                ('done', models.PositiveIntegerField(default=0)),
                ('total', models.PositiveIntegerField(default=0)),
                ('started_at', models.DateTimeField()),
                ('updated_at', models.DateTimeField()),
                ('finished_at', models.DateTimeField(null=True)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('task', 'key'), name='one_progress_per_task')],
            },
        ),
    ]

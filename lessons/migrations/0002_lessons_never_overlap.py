"""Let the database itself refuse two lessons at once."""

from django.db import migrations

from lessons import overlap_net


def put_up(apps, schema_editor):
    overlap_net.install(schema_editor)


def take_down(apps, schema_editor):
    overlap_net.remove(schema_editor)


class Migration(migrations.Migration):
    dependencies = [("lessons", "0001_calendar_road_and_lessons")]

    operations = [migrations.RunPython(put_up, take_down)]

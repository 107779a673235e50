"""The shared cache table, so that sign-in limits hold across processes without Redis."""

from django.core.management import call_command
from django.db import migrations


def create_cache_table(apps, schema_editor) -> None:
    call_command("createcachetable", "shared_cache", database=schema_editor.connection.alias, verbosity=0)


def drop_cache_table(apps, schema_editor) -> None:
    schema_editor.execute(f"DROP TABLE IF EXISTS {schema_editor.quote_name('shared_cache')}")


class Migration(migrations.Migration):
    dependencies = [("practice", "0001_initial")]
    operations = [migrations.RunPython(create_cache_table, drop_cache_table)]

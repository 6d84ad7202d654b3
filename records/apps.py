"""Tell Django about the room that holds everything true."""

from importlib import import_module
from importlib.util import find_spec

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class RecordsConfig(AppConfig):
    """Register checks and tasks once all models are loaded."""

    name = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # tasks are imported here because outbox, below them, starts them by name only
        for module in ("records.checks", "records.tasks"):
            if find_spec(module):
                import_module(module)
        # Django's remake of a table on SQLite drops its triggers: make them anew each time
        from records.triggers import install_after_migrate

        post_migrate.connect(install_after_migrate, sender=self, dispatch_uid="records.triggers")

"""The Celery app: with a broker, `celery -A shop worker`; without one, tasks run in the process."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

app = Celery("tarebook")
# without this only the importing thread sees the app, and others get one without our settings
app.set_default()
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()

"""The outermost room: wiring, and the pages people see."""

# Django imports this package first, so tasks find the shop's own Celery app and never a default
from shop.celery import app as celery_app

__all__ = ["celery_app"]

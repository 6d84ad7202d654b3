"""The pages as a Django app."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Pages, server-rendered; they own no table."""

    name = "shop.web"
    label = "web"
    verbose_name = "pages"

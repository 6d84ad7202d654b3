"""Where addresses begin: the JSON front below api/, pages everywhere else."""

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = []
if find_spec("api.urls"):
    urlpatterns.append(path("api/", include("api.urls")))
if find_spec("shop.web.urls"):
    urlpatterns.append(path("", include("shop.web.urls")))

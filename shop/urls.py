"""Where addresses begin: the JSON front below api/, pages everywhere else."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/", include("api.urls")),
    path("", include("shop.web.urls")),
]

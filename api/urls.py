"""Where the front begins: one version of the addresses, their description, a page to try them."""

from __future__ import annotations

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from api.views.base import NotThere
from api.views.docs import Docs

urlpatterns = [
    path("v1/", include(("api.v1", "v1"))),
    path("schema", SpectacularAPIView.as_view(api_version="v1"), name="schema"),
    path("docs", Docs.as_view(), name="docs"),
    path("<path:rest>", NotThere.as_view()),
]

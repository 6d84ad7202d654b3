"""The browsable page of the schema: scripts and styles from an installed package, none inline."""

from __future__ import annotations

from csp.decorators import csp_update
from django.utils.decorators import method_decorator
from drf_spectacular.views import SpectacularSwaggerSplitView

# the page's own style sheet draws its icons from data: addresses
ICONS = csp_update({"img-src": ["data:"]})


@method_decorator(ICONS, name="dispatch")
class Docs(SpectacularSwaggerSplitView):
    """Show the schema and let one try it."""

    template_name = "api/docs.html"
    url_name = "schema"

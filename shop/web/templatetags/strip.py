"""The thin strip on top of every page: shop, who is at the bench, and how fit the scales are."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django import template
from django.http import HttpRequest

from records.queries.people import customer_names_of, names_of, viewer_of_user
from records.queries.scales import ScaleRow, scales_with_status
from records.queries.shop import shop_now
from records.queries.viewer import NOBODY, Viewer

register = template.Library()


@register.inclusion_tag("web/part/_strip.html", takes_context=True)
def strip(context: dict[str, Any]) -> dict[str, Any]:
    """Show who looks, where, and on what they may weigh."""
    request: HttpRequest | None = context.get("request")
    viewer = _viewer(request)
    return {
        "shop": shop_now(),
        "viewer": viewer,
        "name": _name(viewer),
        "signed_in": viewer is not NOBODY,
        "scales": _scales(viewer),
        "build": context.get("build_in_strip"),
        "step": context.get("step"),
        "path": request.path if request else "",
    }


def _viewer(request: HttpRequest | None) -> Viewer:
    if request is None or not hasattr(request, "user") or not request.user.is_authenticated:
        return NOBODY
    known: Viewer | None = getattr(request, "viewer", None)
    return known or viewer_of_user(request.user.pk)


def _name(viewer: Viewer) -> str:
    if viewer.person:
        return names_of([viewer.person]).get(viewer.person, viewer.person)
    if viewer.customer:
        return customer_names_of([viewer.customer]).get(viewer.customer, viewer.customer)
    return ""


def _scales(viewer: Viewer) -> tuple[ScaleRow, ...]:
    return scales_with_status(datetime.now(UTC)) if viewer.of_the_shop else ()

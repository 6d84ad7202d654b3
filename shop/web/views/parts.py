"""Parts: finding one, and its life across builds."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_GET

from records.queries.part_history import part_history
from records.queries.parts import find_parts
from records.queries.parts import part_page as page_of
from records.queries.people import names_of
from shop.web.views.page import Asked, page, shown
from shop.web.words import things


@require_GET
@page
def parts(request: Asked) -> HttpResponse:
    """Find parts by a piece of their serial or number."""
    fragment = request.GET.get("serial", "")[:80]
    found = find_parts(fragment, request.viewer)
    title = "Find a part by any piece of its serial"
    if fragment.strip():
        title = f"{things(len(found), 'part')} with “{fragment.strip()}”".capitalize()
    template = "web/part/_found.html" if _only_the_list(request) else "web/parts.html"
    return shown(request, template, {"title": title, "fragment": fragment, "found": found})


@require_GET
@page
def part(request: Asked, number: str) -> HttpResponse:
    """Show a part: its condition, what may still come off it, and its history."""
    seen = page_of(number, request.viewer)
    history = part_history(number, request.viewer)
    return shown(
        request,
        "web/part_page.html",
        {"page": seen, "history": history, "names": names_of(line.by for line in history)},
    )


def _only_the_list(request: Asked) -> bool:
    return request.headers.get("HX-Target") == "found"

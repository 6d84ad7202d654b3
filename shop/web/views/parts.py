"""Parts: finding one, and its life across builds."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from records.actions.parts import rule_allowance
from records.queries.part_history import part_history
from records.queries.parts import find_parts
from records.queries.parts import part_page as page_of
from records.queries.people import names_of
from shop.web.forms.parts import RulingForm
from shop.web.views.deeds import refused
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


@require_http_methods(["GET", "POST"])
@page
def part(request: Asked, number: str) -> HttpResponse:
    """Show a part: its condition, what may still come off it, and its history."""
    seen = page_of(number, request.viewer)
    zones = [(str(z.zone.id), z.zone.name) for z in seen.zones if z.zone.rule != "forbidden"]
    form = RulingForm(request.POST if request.method == "POST" else None, zones=zones)
    status = 200
    if request.method == "POST":
        status = refused(
            request, form, lambda told: rule_allowance(by=request.person, part=number, **told)
        )
        if not status:
            messages.success(request, "What may still come off is on record.")
            return redirect("web:part", number=number)
    history = part_history(number, request.viewer)
    return shown(
        request,
        "web/part_page.html",
        {
            "page": seen,
            "history": history,
            "names": names_of(line.by for line in history),
            "form": form,
            "may_rule": bool(zones) and request.viewer.may("rule allowance"),
        },
        status,
    )


def _only_the_list(request: Asked) -> bool:
    return request.headers.get("HX-Target") == "found"

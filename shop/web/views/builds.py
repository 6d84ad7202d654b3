"""Builds: the list, and opening one."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from records.actions.builds import open_build
from records.queries.builds import BuildRow, all_builds
from records.queries.people import customer_names_of
from records.queries.shop import tolerance_classes
from records.queries.weighing_warnings import warnings_of_opening
from shop.web.forms.builds import OpenBuildForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, page, shown
from shop.web.words import count, things


@require_GET
@page
def first(request: Asked) -> HttpResponse:
    """Lead to the builds."""
    return redirect("web:builds")


@require_GET
@page
def builds(request: Asked) -> HttpResponse:
    """List the builds, those with work left first."""
    rows = all_builds(request.viewer)
    names = customer_names_of(row.customer for row in rows if row.customer)
    named = [(row, names.get(row.customer or "", row.customer or "")) for row in rows]
    return shown(
        request,
        "web/builds.html",
        {
            "title": _title(rows),
            "open": [pair for pair in named if pair[0].is_open],
            "done": [pair for pair in named if not pair[0].is_open],
            "may_open": request.viewer.may("open build"),
        },
    )


@require_http_methods(["GET", "POST"])
@of_the_shop
def open_one(request: Asked) -> HttpResponse:
    """Open a build."""
    form = OpenBuildForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status = refused(request, form, lambda told: _opened(request, form, told))
        if not status:
            number = request.POST["number"].strip()
            messages.success(request, f"Build {number} is open. Book its parts in next.")
            for warning in warnings_of_opening(number):
                messages.warning(request, f"{warning[0].upper()}{warning[1:]}.")
            return redirect("web:build", number=number)
    return shown(
        request, "web/open_build.html", {"form": form, "classes": tolerance_classes()}, status
    )


def _opened(request: Asked, form: OpenBuildForm, told: dict[str, object]) -> None:
    kept = ("number", "engine", "layout", "use", "balance")
    open_build(
        by=request.person,
        customer=form.cleaned_data["customer"].strip() or None,
        promise=form.promise,
        rod_length_mm=form.cleaned_data["rod_length_mm"],
        stroke_mm=form.cleaned_data["stroke_mm"],
        event_day=form.cleaned_data["event_day"],
        **{name: told[name] for name in kept},  # type: ignore[arg-type]
    )


def _title(rows: tuple[BuildRow, ...]) -> str:
    at_work = [row for row in rows if row.is_open]
    in_doubt = [row for row in at_work if row.state == "in doubt"]
    if not at_work:
        return "No build is open"
    title = f"{things(len(at_work), 'build')} open".capitalize()
    if in_doubt:
        return f"{title}, {count(len(in_doubt))} with a certificate in doubt"
    return title

"""A bench sheet: looked through first, then taken in, all of it or nothing."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from records.actions.take_in import TakeIn
from records.actions.take_in import take_in as take_it_in
from records.queries.weighing_warnings import warnings_of_opening
from shop.web.forms.builds import SheetForm
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import things


@require_http_methods(["GET", "POST"])
@of_the_shop
def take_in(request: Asked) -> HttpResponse:
    """Look a sheet through and say row by row what is wrong, or take it in."""
    posted = request.method == "POST"
    form = SheetForm(
        *((request.POST, request.FILES) if posted else ()),
        initial={"build": request.GET.get("build", "")},
    )
    dry = request.POST.get("do") != "take in"
    seen: list[TakeIn] = []
    status = 200
    if posted:
        status = refused(
            request, form, lambda told: seen.append(_taken(request, told, dry_run=dry))
        )
        if not status and not dry:
            return _done(request, form, seen)
    context = {"form": form, "seen": seen[0] if seen else None, "title": _title(seen)}
    return shown(request, "web/take_in.html", context, status or 200)


def _taken(request: Asked, told: dict[str, Any], *, dry_run: bool) -> TakeIn:
    return take_it_in(
        by=request.person,
        build=told["build"].strip(),
        sheet_bytes=told["sheet"].read(),
        open_layout=told["layout"] or None,
        rod_length_mm=told["rod_length_mm"],
        stroke_mm=told["stroke_mm"],
        dry_run=dry_run,
    )


def _done(request: Asked, form: SheetForm, seen: list[TakeIn]) -> HttpResponse:
    for taken in seen:
        messages.success(request, f"Taken in: {_counted(taken)}.")
        number = form.cleaned_data["build"].strip()
        opened = warnings_of_opening(number) if form.cleaned_data["layout"] else ()
        for warning in (*taken.warnings, *opened):
            messages.warning(request, f"{warning[0].upper()}{warning[1:]}.")
    return redirect("web:build", number=form.cleaned_data["build"].strip())


def _counted(taken: TakeIn) -> str:
    return (
        f"{things(len(taken.parts), 'new part')}, {things(len(taken.weighings), 'weighing')}, "
        f"{things(taken.readings, 'reading')}"
    )


def _title(seen: list[TakeIn]) -> str:
    if seen:
        return f"The sheet can be taken in: {_counted(seen[0])}"
    return "Which bench sheet, for which build?"

"""The parts of a build: booked, fitted, taken out, how they came in; and the build's details."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from records.actions.builds import note_detail
from records.actions.parts import book_part, fit_part, note_intake, rate_damper, take_out_part
from records.queries.build_page import BuildPage
from records.queries.parts import FittedPart, parts_of
from records.queries.specs import specs
from records.queries.words import kinds
from shop.web.forms.deed import Choices, DeedForm
from shop.web.forms.parts import (
    BookPartForm,
    DetailForm,
    FitPartForm,
    IntakeForm,
    RatingForm,
    TakeOutForm,
)
from shop.web.views.deeds import refused
from shop.web.views.one_build import framed
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import things

DONE = {
    "book": "The part is booked in.",
    "fit": "The part stands in its place.",
    "take_out": "The part is taken out.",
    "intake": "How they came in is noted.",
    "detail": "The detail is noted.",
    "rate": "The rating is noted.",
}


@require_http_methods(["GET", "POST"])
@of_the_shop
def build_parts(request: Asked, number: str) -> HttpResponse:
    """Show a build's parts by place; record what belongs to taking them in."""
    fitted = parts_of(number, request.viewer)
    context = framed(request, number, "build-parts")
    forms = _forms(request, fitted, context["page"])
    sent, status = request.POST.get("deed", ""), 200
    if sent in forms:
        form = forms[sent]
        status = refused(request, form, lambda told: _deeds(request, number)[sent](form))
        if not status:
            messages.success(request, DONE[sent])
            return redirect("web:build-parts", number=number)
    context |= {
        "title": f"{things(len(fitted), 'part')} in build {number}".capitalize(),
        "fitted": _by_kind(fitted),
        "forms": forms,
        "sent": sent if status else "",
        "do": sent or request.GET.get("do", ""),
        "may_book": request.viewer.may("book parts"),
        "may_fit": request.viewer.may("fit"),
        "dampers": [one for one in fitted if one.part.kind == "damper"],
    }
    return shown(request, "web/build/parts.html", context, status or 200)


def _forms(request: Asked, fitted: tuple[FittedPart, ...], page: BuildPage) -> dict[str, DeedForm]:
    def data(deed: str) -> Any:
        return request.POST if request.POST.get("deed") == deed else None

    places: Choices = [(str(place), str(place)) for place in page.facts.places]
    parts: Choices = [
        (one.part.number, f"{one.place or 'engine'} · {one.part.kind} {one.part.number}")
        for one in fitted
    ]
    there: Choices = [(one.part.kind, one.part.kind) for one in fitted]
    dampers: Choices = [(n, words) for n, words in parts if " damper " in f"{words} "]
    known: Choices = [(s.number, f"{s.number}: {s.kind}, {s.name}") for s in specs()]
    return {
        "book": BookPartForm(data("book"), specs=known, places=places),
        "fit": FitPartForm(data("fit"), places=places),
        "take_out": TakeOutForm(data("take_out"), parts=parts),
        "intake": IntakeForm(data("intake"), kinds=list(dict.fromkeys(there)), parts=parts),
        "detail": DetailForm(data("detail")),
        "rate": RatingForm(data("rate"), parts=dampers),
    }


def _deeds(request: Asked, number: str) -> dict[str, Callable[[Any], object]]:
    """Return what each form leads to."""
    by = request.person
    return {
        "book": lambda form: book_part(by=by, build=number, **_placed(form)),
        "fit": lambda form: fit_part(by=by, build=number, **_placed(form)),
        "take_out": lambda form: take_out_part(by=by, build=number, **form.cleaned_data),
        "intake": lambda form: note_intake(
            by=by,
            build=number,
            kind=form.cleaned_data["kind"],
            condition=form.condition,
            exceptions=form.exceptions,
        ),
        "detail": lambda form: note_detail(by=by, build=number, **form.cleaned_data),
        "rate": lambda form: rate_damper(by=by, **form.cleaned_data),
    }


def _placed(form: DeedForm) -> dict[str, Any]:
    told = dict(form.cleaned_data)
    told["place"] = int(told["place"]) if told["place"] else None
    return told


def _by_kind(fitted: tuple[FittedPart, ...]) -> list[tuple[str, list[FittedPart]]]:
    order = [kind.key for kind in kinds()]
    found = [(key, [one for one in fitted if one.part.kind == key]) for key in order]
    return [(key, rows) for key, rows in found if rows]

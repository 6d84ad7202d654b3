"""Cutting: what the plan says, a cut as it was made, and its close by weighing again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from records.actions.removals import Cut, close_removal, correct_removal, note_pass, open_removal
from records.domain.reckon.shown import shown as told_with_u
from records.queries.build_page import BuildPage
from records.queries.parts import zones_of
from records.queries.words import heat_words
from shop.web.forms.bench import CloseCutForm, CorrectWeighingForm, OpenCutForm, PassForm
from shop.web.forms.deed import DeedForm
from shop.web.views.deeds import refused
from shop.web.views.one_build import framed
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import listed, things


@require_http_methods(["GET", "POST"])
@of_the_shop
def cut(request: Asked, number: str) -> HttpResponse:
    """Show the plan and the cuts; open one on the part asked for, close one, or take one back."""
    context = framed(request, number, "cut")
    forms = _forms(request, context["page"])
    status = 200
    sent = request.POST.get("deed", "")
    if sent in forms and forms[sent].is_bound:
        form = forms[sent]
        status = refused(request, form, lambda told: _done(request, number, sent, form))
        if not status:
            return redirect("web:cut", number=number)
    return _shown(request, context, forms, status)


def _forms(request: Asked, page: BuildPage) -> dict[str, DeedForm]:
    """Return the form of each deed, bound where it was sent."""
    sent, data = request.POST.get("deed", ""), request.POST
    part, words = _part(request, page), _heat_words(request, page)
    zones = _zone_choices(request, part) if part else []
    return {
        "open": OpenCutForm(data if sent == "open" else None, zones=zones),
        "close": CloseCutForm(data if sent == "close" else None, words=words),
        "pass": PassForm(data if sent == "pass" else None),
        "correct": CorrectWeighingForm(data if sent == "correct" else None),
    }


def _done(request: Asked, number: str, deed: str, form: DeedForm) -> None:
    told, by = form.cleaned_data, request.person
    if deed == "open":
        made = Cut(
            part=request.POST["part"],
            zones=told["zones"],
            method=told["method"],
            spread=told["spread"],
            cut_at=told["cut_at"],
            remark=told["remark"],
        )
        open_removal(by=by, build=number, cut=made)
        messages.success(request, f"The cut on {made.part} is open. Weigh it whole to close it.")
        return
    removal = _removal(request)
    if deed == "close":
        close = close_removal(by=by, build=number, removal=removal, heat=told["heat"])
        taken = " g, U ".join(told_with_u(close.mass_g, close.U_g))
        messages.success(request, f"Closed: {taken} g came off, worked out from the weighings.")
    elif deed == "pass":
        note_pass(by=by, build=number, removal=removal, reading=told["reading"])
        messages.success(request, "The quick reading is kept as progress, not as evidence.")
    else:
        correct_removal(by=by, build=number, removal=removal, reason=told["reason"])
        messages.success(request, f"Cut {removal} is taken back; it stays on record.")


def _shown(
    request: Asked, context: dict[str, Any], forms: dict[str, DeedForm], status: int
) -> HttpResponse:
    page: BuildPage = context["page"]
    part, sent = _part(request, page), request.POST.get("deed", "")
    open_ones = [one for one in page.facts.removals if one.after is None]
    context |= {
        "title": f"Take metal off {page.facts.parts[part].kind} {part}" if part else _title(page),
        "forms": forms,
        "sent": sent,
        "refusal": forms[sent].errors if sent in forms and sent != "open" else {},
        "sent_removal": _removal(request),
        "part": page.facts.parts[part] if part else None,
        "zones": zones_of(part, request.viewer) if part else (),
        "methods": sorted({m for z in page.facts.parts[part].spec.zones for m in z.methods})
        if part
        else (),
        "open_ones": [
            (one, heat_words(page.facts.parts[one.part].spec.metal)) for one in open_ones
        ],
        "closed": [one for one in reversed(page.facts.removals) if one.after is not None],
        "zone_names": {z.id: z.name for p in page.facts.parts.values() for z in p.spec.zones},
        "may_cut": request.viewer.may("cut"),
        "parts": _parts(page),
    }
    return shown(request, "web/build/cut.html", context, status)


def _title(page: BuildPage) -> str:
    open_ones = [one.part for one in page.facts.removals if one.after is None]
    if open_ones:
        return f"{things(len(open_ones), 'cut').capitalize()} open, on {listed(open_ones)}"
    step = next((step for step in page.plan.steps if not step.matches), None)
    if step is None:
        return "Everything matches: nothing is to be cut"
    if step.waits_for:
        return f"No {step.kind} is to be cut yet"
    heavy = [place for place in step.places if place.plan.next_cuts]
    if not heavy:
        return f"No {step.kind} has anything to give now"
    return f"{things(len(heavy), step.kind)} to be made lighter".capitalize()


def _part(request: Asked, page: BuildPage) -> str:
    asked = request.POST.get("part") or request.GET.get("part", "")
    return asked if asked in {number for number, _ in _parts(page)} else ""


def _parts(page: BuildPage) -> list[tuple[str, str]]:
    facts = page.facts
    standing = [one for one in facts.fitments if one.ended_at is None]
    standing.sort(key=lambda one: (facts.parts[one.part].kind, one.place or 0))
    return [
        (one.part, f"{one.place or 'engine'} · {facts.parts[one.part].kind} {one.part}")
        for one in standing
        if facts.parts[one.part].spec.zones
    ]


def _zone_choices(request: Asked, part: str) -> list[tuple[str, str]]:
    return [
        (left.zone.key, f"{left.zone.name} ({left.zone.rule})")
        for left in zones_of(part, request.viewer)
    ]


def _heat_words(request: Asked, page: BuildPage) -> tuple[str, ...]:
    removal = _removal(request)
    part = next((one.part for one in page.facts.removals if one.id == removal), None)
    return heat_words(page.facts.parts[part].spec.metal) if part else ()


def _removal(request: Asked) -> int:
    given = request.POST.get("removal", "")
    return int(given) if given.isdecimal() and len(given) < 12 else 0

"""Weighing: the next part comes by itself; a wrong weighing is taken back, never changed."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from records.actions.weighings import WeighingGiven, correct_weighing, record_weighing
from records.queries.build_page import BuildPage
from records.queries.weighing_warnings import warnings_before, warnings_of_weighing
from shop.web.bench_order import Group, groups, next_target
from shop.web.forms.bench import CorrectWeighingForm, WeighForm
from shop.web.forms.deed import Choices
from shop.web.titles import weighing_title
from shop.web.views.deeds import refused
from shop.web.views.one_build import framed
from shop.web.views.page import Asked, of_the_shop, shown

SHOWN_AT_ONCE = 12


@require_http_methods(["GET", "POST"])
@of_the_shop
def weigh(request: Asked, number: str) -> HttpResponse:
    """Record a weighing, or show what is weighed and what is left."""
    context = framed(request, number, "weigh")
    every = groups(context["page"])
    form = _form(request, context["page"], every)
    status = 200
    if request.method == "POST":
        status = refused(request, form, lambda told: _recorded(request, number, form))
        if not status:
            return _to_the_next(request, number, form)
    return _shown(request, context, form, status)


@require_POST
@of_the_shop
def take_back(request: Asked, number: str, weighing: int) -> HttpResponse:
    """Take a weighing back, and say why."""
    wrong = CorrectWeighingForm(request.POST)
    status = refused(
        request,
        wrong,
        lambda told: correct_weighing(
            by=request.person, build=number, weighing=weighing, reason=told["reason"]
        ),
    )
    if not status:
        messages.success(request, f"Weighing {weighing} is taken back; it stays on record.")
        return redirect("web:weigh", number=number)
    context = framed(request, number, "weigh")
    form = _form(request, context["page"], groups(context["page"]), bound=False)
    return _shown(request, context | {"wrong": wrong, "wrong_id": weighing}, form, status)


def _form(
    request: Asked, page: BuildPage, every: tuple[Group, ...], *, bound: bool = True
) -> WeighForm:
    asked = request.GET.get("target", "")
    if asked not in {target.key for group in every for target in group.targets}:
        first = next_target(every)
        asked = first.key if first else ""
    form = WeighForm(
        request.POST if bound and request.method == "POST" else None,
        groups=every,
        scales=_scales(page),
        initial={"target": asked, "scale": request.GET.get("scale") or _last_scale(page)},
    )
    # by hand: a field that was looked at before keeps the help it had then
    told = form.data if form.is_bound else form.initial
    known = _cannot_prove(page, told.get("target", ""), told.get("scale", ""))
    form.fields["scale"].help_text = known
    return form


def _cannot_prove(page: BuildPage, key: str, scale: str) -> str:
    """Say at the scale, before anything is weighed, where it can't prove what is on the pan."""
    chosen = {target.key: target for group in groups(page) for target in group.targets}
    target = chosen.get(key)
    if target is None or not scale:
        return ""
    told = warnings_before(page.facts, target.what, target.part, scale)
    return " ".join(f"{text[0].upper()}{text[1:]}." for text in told)


def _shown(request: Asked, context: dict[str, Any], form: WeighForm, status: int) -> HttpResponse:
    page: BuildPage = context["page"]
    targets = {target.key: target for group in groups(page) for target in group.targets}
    key, newest = form["target"].value(), page.weighings[::-1]
    context |= {
        "title": weighing_title(page),
        "form": form,
        "target": targets.get(key),
        "groups": groups(page),
        "weighings": newest[:SHOWN_AT_ONCE],
        "older": newest[SHOWN_AT_ONCE:],
        "may_weigh": request.viewer.may("weigh"),
    }
    return shown(request, "web/build/weigh.html", context, status)


def _recorded(request: Asked, number: str, form: WeighForm) -> None:
    told = form.cleaned_data
    given = WeighingGiven(
        readings=told["readings"],
        scale=told["scale"],
        how=told["how"] or None,
        measured_at=told["measured_at"],
        remark=told["remark"],
        **form.thing,
    )
    row = record_weighing(by=request.person, build=number, given=given)
    shown_as = ", ".join(f"{reading.text} {reading.unit}" for reading in told["readings"])
    messages.success(request, f"Recorded: {_said(form)}, {shown_as} on {told['scale']}.")
    for warning in warnings_of_weighing(number, row.pk):
        messages.warning(request, f"{warning[0].upper()}{warning[1:]}.")


def _to_the_next(request: Asked, number: str, form: WeighForm) -> HttpResponse:
    page = framed(request, number, "weigh")["page"]
    target = next_target(groups(page), after=form.cleaned_data["target"])
    scale = form.cleaned_data["scale"]
    query = f"?target={target.key}&scale={scale}" if target else ""
    return redirect(reverse("web:weigh", args=[number]) + query)


def _said(form: WeighForm) -> str:
    thing = form.thing
    if "place" in thing:
        return f"set of place {thing['place']}"
    return f"{thing['part']} {thing['what']}"


def _scales(page: BuildPage) -> Choices:
    return [(number, f"{number}, {status.word}") for number, status in sorted(page.scales.items())]


def _last_scale(page: BuildPage) -> str:
    used = [shown.weighing.scale for shown in page.weighings if shown.weighing.scale]
    fit = [number for number, status in sorted(page.scales.items()) if status.may_weigh]
    if used and used[-1] in fit:
        return used[-1]
    return (fit or used[-1:] or [""])[0]

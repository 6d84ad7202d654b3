"""Mix and match, and the bob-weight card."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from records.actions.cards import issue_card
from records.actions.matching import accept_match
from records.domain.errors import Conflict
from records.queries.pairing import match_proposal
from shop.web.forms.bench import AIMS, MatchForm
from shop.web.forms.deed import DeedForm
from shop.web.views.deeds import refused
from shop.web.views.one_build import framed
from shop.web.views.page import Asked, of_the_shop, shown


@require_http_methods(["GET", "POST"])
@of_the_shop
def match(request: Asked, number: str) -> HttpResponse:
    """Show the best pairing for each aim; accept one."""
    form = MatchForm(request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST":
        status = refused(
            request,
            form,
            lambda told: accept_match(by=request.person, build=number, aim=told["aim"]),
        )
        if not status:
            messages.success(request, "The pairing is accepted, and the parts stand as it says.")
            return redirect("web:match", number=number)
    context = framed(request, number, "match")
    proposals, why = _proposals(request, number)
    context |= {
        "title": _title(context["page"].facts.matches, why),
        "form": form,
        "proposals": proposals,
        "why": why,
        "may_match": request.viewer.may("match"),
    }
    return shown(request, "web/build/match.html", context, status)


@require_http_methods(["GET", "POST"])
@of_the_shop
def card(request: Asked, number: str) -> HttpResponse:
    """Show the bob-weight card and whether it holds; issue the next."""
    form = DeedForm(request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST":
        status = refused(request, form, lambda told: issue_card(by=request.person, build=number))
        if not status:
            messages.success(request, "The card is issued and frozen with what it rests on.")
            return redirect("web:card", number=number)
    context = framed(request, number, "card")
    context |= {
        "title": _card_title(context["page"]),
        "form": form,
        "may_issue": request.viewer.may("issue card"),
    }
    return shown(request, "web/build/card.html", context, status)


def _proposals(request: Asked, number: str) -> tuple[list[tuple[str, Any]], str]:
    """Return the pairing for each aim, or why there is none now."""
    try:
        found = [(said, match_proposal(number, aim, request.viewer)) for aim, said in AIMS]
    except Conflict as refusal:
        return [], refusal.message
    return found, ""


def _title(matches: tuple[Any, ...], why: str) -> str:
    if matches:
        return "The sets are matched"
    return "The sets can't be matched yet" if why else "Which pin goes with which piston?"


def _card_title(page: Any) -> str:
    state = page.card_state
    if not state.needed:
        return "This engine needs no bob weights"
    if not state.exists:
        return "No bob-weight card is issued yet"
    return "The bob-weight card holds" if state.holds else "The bob-weight card is stale"

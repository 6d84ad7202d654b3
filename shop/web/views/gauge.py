"""Gauge studies at the bench, what they tell, and what everyday double weighings tell."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from records.actions.gauge_studies import (
    close_study,
    correct_study_reading,
    enter_study_reading,
    give_up_study,
    plan_study,
)
from records.queries.gauge_studies import GaugeStudyPage, gauge_studies, gauge_study_page
from records.queries.people import names_of, people
from records.queries.repeatability import Repeatability, repeatability
from records.queries.scales import scales_with_status
from shop.web.csv_answer import csv_answer
from shop.web.forms.deed import Choices, DeedForm
from shop.web.forms.gauge import (
    CloseStudyForm,
    CorrectReadingForm,
    GiveUpForm,
    PlanStudyForm,
    TurnForm,
)
from shop.web.views.deeds import refused
from shop.web.views.page import Asked, of_the_shop, shown
from shop.web.words import listed, things

CONFLICT = 409
HEADS = ("turn", "part", "person", "trial", "reading", "unit", "grams", "read at (UTC)")


@require_http_methods(["GET", "POST"])
@of_the_shop
def studies(request: Asked) -> HttpResponse:
    """List the gauge studies; plan another."""
    form = PlanStudyForm(
        request.POST if request.method == "POST" else None, scales=_scales(), people=_people()
    )
    status = 200
    if request.method == "POST":
        status = refused(request, form, lambda told: plan_study(by=request.person, **told))
        if not status:
            return redirect("web:gauge-study", number=form.cleaned_data["number"].strip())
    rows = gauge_studies()
    under_way = sum(row.state == "under way" for row in rows)
    context = {
        "title": f"{things(under_way, 'gauge study', 'gauge studies').capitalize()} under way",
        "rows": rows,
        "names": names_of({person for row in rows for person in row.people}),
        "form": form,
        "may_study": request.viewer.may("study scale"),
    }
    return shown(request, "web/gauge_studies.html", context, status or 200)


@require_http_methods(["GET", "POST"])
@of_the_shop
def study(request: Asked, number: str) -> HttpResponse:
    """Show a study: the turn at hand while it is under way, else what it tells."""
    page = gauge_study_page(number)
    forms = _forms(request, page)
    sent = request.POST.get("deed", "")
    status = 200
    if sent in forms:
        status = refused(request, forms[sent], lambda told: _done(request, number, sent, told))
        if not status:
            return redirect("web:gauge-study", number=number)
        page = gauge_study_page(number)
        if sent == "read" and status == CONFLICT:
            _turn_was_another(request, forms)
    context = {
        "page": page,
        "title": _title(page),
        "forms": forms,
        "sent": sent,
        "names": names_of(page.row.people),
        "may_study": request.viewer.may("study scale"),
    }
    return shown(request, "web/gauge_study.html", context, status)


@require_GET
@of_the_shop
def study_csv(request: Asked, number: str) -> HttpResponse:
    """Give a study's readings as a file."""
    page = gauge_study_page(number)
    rows = [
        (t.order, t.part, t.person, t.trial, t.text, t.unit, t.grams, t.read_at and _utc(t.read_at))
        for t in page.turns
    ]
    return csv_answer(f"gauge-study-{number}", HEADS, rows)


@require_GET
@of_the_shop
def technicians(request: Asked) -> HttpResponse:
    """Show how well what is weighed twice agrees, by person, kind of work and scale."""
    found = repeatability(request.viewer, datetime.now(UTC))
    names = names_of({row.person for row in found.rows if row.person})
    context = {
        "title": _repeat_title(found, names),
        "found": found,
        "names": names,
        "sees_all": request.viewer.may("keep scales"),
    }
    return shown(request, "web/repeatability.html", context)


def _forms(request: Asked, page: GaugeStudyPage) -> dict[str, DeedForm]:
    def sent(deed: str) -> Any:
        return request.POST if request.POST.get("deed") == deed else None

    return {
        "read": TurnForm(sent("read")),
        "correct": CorrectReadingForm(sent("correct"), readings=_readings(page)),
        "close": CloseStudyForm(sent("close")),
        "give_up": GiveUpForm(sent("give_up")),
    }


def _done(request: Asked, number: str, deed: str, told: dict[str, Any]) -> None:
    by = request.person
    if deed == "read":
        enter_study_reading(by=by, study=number, **told)
    elif deed == "correct":
        wrong = int(told["wrong"])
        correct_study_reading(
            by=by, study=number, reading=wrong, reason=told["reason"], right=told["right"]
        )
        messages.success(request, "The reading is taken back; it stays on record.")
    elif deed == "close":
        close_study(by=by, study=number)
        messages.success(request, f"Study {number} is closed; its figures stand.")
    else:
        give_up_study(by=by, study=number, reason=told["reason"])


def _turn_was_another(request: Asked, forms: dict[str, DeedForm]) -> None:
    """Say that the turn had been read meanwhile, and let no reading slip into the next one."""
    for text in forms["read"].errors.get("reading", ()):
        messages.warning(request, f"Nothing was recorded: {text}.")
    forms["read"] = TurnForm()


def _readings(page: GaugeStudyPage) -> Choices:
    """Offer the readings to correct, the last first, by turn and not by what they said."""
    read = [turn for turn in page.turns if turn.reading is not None]
    return [
        (str(t.reading), f"turn {t.order}: part {t.part}, trial {t.trial}") for t in reversed(read)
    ]


def _scales() -> Choices:
    rows = scales_with_status(datetime.now(UTC))
    return [(row.number, f"{row.number}, {row.word}") for row in rows]


def _people() -> Choices:
    return [
        (row.number, row.name or row.number)
        for row in people()
        if row.at_work and row.kind == "person"
    ]


def _title(page: GaugeStudyPage) -> str:
    number, left = page.row.number, page.row.turns - page.row.read
    if page.row.state != "under way":
        return f"Gauge study {number} of {page.row.scale} is {page.row.state}"
    if left:
        return f"Gauge study {number}: {things(left, 'reading')} to go"
    return f"Gauge study {number} is read through: close it"


def _repeat_title(found: Repeatability, names: dict[str, str]) -> str:
    if not any(row.within.s_g or row.again.s_g for row in found.rows):
        return "Too little is weighed twice yet to tell how well it repeats"
    wider = sorted(
        {names.get(row.person, row.person) for row in found.rows if row.wider and row.person}
    )
    if wider:
        verb = "scatters" if len(wider) == 1 else "scatter"
        return f"{listed(wider)} {verb} more than the scale alone"
    return "What is weighed twice agrees as the scales let it"


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")

"""One build: where it stands, and the frame that all of its pages share."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from records.actions.bundles import hand_out_bundle
from records.actions.left_over import do_what_is_left
from records.queries.build_page import BuildPage, build_page
from records.queries.builds import entries_of_build
from records.queries.certificates import certificates
from records.queries.people import names_of
from records.queries.shop import outbox_left
from shop.web.titles import next_of, title_of, way_of
from shop.web.views.page import Asked, of_the_shop, page, shown
from shop.web.words import things

STEPS = (
    ("build", "Where it stands"),
    ("build-parts", "Parts"),
    ("weigh", "Weigh"),
    ("match", "Match"),
    ("cut", "Cut"),
    ("card", "Bob weight"),
    ("checklist", "Checklist"),
    ("findings", "Findings"),
    ("release", "Release"),
    ("build-history", "Ledger"),
)


def framed(request: Asked, number: str, step: str, seen: BuildPage | None = None) -> dict[str, Any]:
    """Return what every page of a build needs, the build itself as `page`."""
    seen = seen or build_page(number, datetime.now(UTC), request.viewer)
    words = dict(STEPS)[step]
    steps = STEPS if request.viewer.of_the_shop else STEPS[:1]
    return {
        "page": seen,
        "build_in_strip": number,
        "step": "" if step == "build" else words.lower(),
        "steps": [
            (reverse(f"web:{name}", args=[number]), said, name == step) for name, said in steps
        ],
        "of_the_shop": request.viewer.of_the_shop,
        "names": {**seen.names, **names_of(_people(seen))},
    }


@require_GET
@page
def build(request: Asked, number: str) -> HttpResponse:
    """Say where a build stands, what blocks its release, and how its masses match."""
    context = framed(request, number, "build")
    seen: BuildPage = context["page"]
    papers = [row for row in certificates(request.viewer) if row.build == number]
    context |= {
        "title": title_of(seen),
        "next": next_of(seen) if request.viewer.of_the_shop else None,
        "blocks": [(b, way_to(number, b.code, b.key)) for b in seen.blocks],
        "papers": papers,
        "left": outbox_left() if request.viewer.of_the_shop else (),
        "plan_notes": [
            step for step in seen.plan.steps if not step.matches and (step.note or step.waits_for)
        ],
    }
    return shown(request, "web/build/state.html", context)


@require_GET
@of_the_shop
def history(request: Asked, number: str) -> HttpResponse:
    """Show a build's entries in the ledger."""
    entries = entries_of_build(number, request.viewer)
    context = framed(request, number, "build-history")
    context |= {
        "title": f"{things(len(entries), 'entry', 'entries')} in the ledger of build {number}",
        "entries": entries,
        "names": context["names"] | names_of(entry.actor for entry in entries),
    }
    return shown(request, "web/build/history.html", context)


@require_GET
@page
def bundle(request: Asked, number: str) -> HttpResponse:
    """Hand out the build's record with its proofs, to be checked anywhere."""
    answer = HttpResponse(
        hand_out_bundle(build=number, viewer=request.viewer), content_type="application/zip"
    )
    plain = "".join(c if c.isalnum() or c in "-_" else "_" for c in number)
    answer["Content-Disposition"] = f'attachment; filename="{plain}.zip"'
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@of_the_shop
def sweep(request: Asked, number: str) -> HttpResponse:
    """Do what is left in the outbox."""
    do_what_is_left(by=request.person)
    left = outbox_left()
    if left:
        messages.warning(request, f"{things(len(left), 'thing')} still left; see why below.")
    else:
        messages.success(request, "All that was left is done.")
    return redirect("web:build", number=number)


def _people(seen: BuildPage) -> set[str]:
    """Return everybody whom a page of this build may name."""
    facts = seen.facts
    named = {cut.operator for cut in facts.removals} | {one.operator for one in facts.answers}
    named |= {match.operator for match in facts.matches}
    return named | ({facts.card.operator} if facts.card else set())


def way_to(number: str, code: str, key: str | None = None) -> str:
    """Return the address where something that blocks is put right."""
    page, query = way_of(code, to_decide=key is not None)
    anchor = f"#{key}" if key and page == "findings" else ""
    return reverse(f"web:{page}", args=[number]) + query + anchor

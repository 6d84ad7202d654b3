"""Bob-weight cards: reckoned from the finished parts and frozen with what they rest on."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock, check_not_ahead
from records.actions.deed import Act, deed
from records.actions.lookup import found
from records.domain.errors import Code, Conflict
from records.domain.practice.card import Card, PinCard, reckon_card
from records.models import BobWeight, BobWeightCard, Build, CardSource
from records.queries.build_facts import facts_of

PLACES = Decimal("1e-13")  # what a row keeps


def issue_card(
    *, by: str, build: str, issued_at: datetime | None = None, clock: Clock = SYSTEM
) -> BobWeightCard:
    """Issue a build's bob-weight card, or its next revision, from what stands on record.

    Errors: Conflict where the layout needs none, or something must still be weighed.
    """
    stream = ledger.build_stream(build)
    with deed(by=by, name="issue card", streams=[stream], clock=clock) as act:
        where = found(Build, build, "build")
        at = issued_at or act.at
        check_not_ahead(at, act.at, "issued_at")
        card = reckon_card(facts_of(build))
        _refuse_unfinished(card, build)
        row, rows = _written(act, where, card, at)
        act.enter(stream, "bob-weight card issued", rows)
        return row


def _refuse_unfinished(card: Card, build: str) -> None:
    if not card.needed:
        raise Conflict(Code.CONFLICT, f"build {build} needs no bob weights: {card.why}")
    if card.missing:
        raise Conflict(Code.CONFLICT, "not yet: " + "; ".join(card.missing))


def _written(
    act: Act, build: Build, card: Card, at: datetime
) -> tuple[BobWeightCard, list[models.Model]]:
    row = BobWeightCard.objects.create(
        build=build,
        revision=BobWeightCard.objects.filter(build=build).count() + 1,
        rule=build.balance_rule,
        oil_g=card.oil_g,
        fraction=card.fraction,
        issued_at=at,
        operator=act.person,
        **act.stamp,
    )
    pins = [_pin(row, pin) for pin in card.pins]
    sources = [CardSource.objects.create(card=row, weighing_id=one) for one in card.sources]
    return row, [row, *pins, *sources]


def _pin(card: BobWeightCard, pin: PinCard) -> BobWeight:
    rotating, reciprocating = pin.rotating_g.quantize(PLACES), pin.reciprocating_g.quantize(PLACES)
    return BobWeight.objects.create(
        card=card,
        pin=pin.pin,
        rods=pin.rods,
        rotating_g=rotating,
        reciprocating_g=reciprocating,
        total_g=rotating + reciprocating,
        U_g=round(Decimal(pin.U_g), 9),
    )

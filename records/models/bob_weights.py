"""Bob-weight cards: frozen with the weighings they were reckoned from."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import GRAMS, Deed, Record
from records.models.builds import Build
from records.models.exact import ExactDecimalField
from records.models.shop import BalanceRule
from records.models.weighings import Weighing


class BobWeightCard(Deed):
    """A revision of a build's card; it is stale when a source changes."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "revision",
            "rule",
            "oil_g",
            "fraction",
            "issued_at",
            "operator",
            "recorded_at",
            "recorded_by",
        )
    }

    build = models.ForeignKey(Build, models.PROTECT, related_name="cards")
    revision = models.PositiveIntegerField()
    rule = models.ForeignKey(BalanceRule, models.PROTECT, related_name="+")
    oil_g = ExactDecimalField(**GRAMS)
    fraction = models.DecimalField(max_digits=6, decimal_places=4)
    issued_at = models.DateTimeField()
    operator = models.ForeignKey("records.Person", models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["build", "revision"], name="one_card_per_revision")
        ]

    def __str__(self) -> str:
        return f"card {self.revision} of {self.build_id}"


class BobWeight(Record):
    """The bob weight of one crankpin on a card."""

    ledger_fields: ClassVar = {
        1: ("card", "pin", "rods", "rotating_g", "reciprocating_g", "total_g", "U_g")
    }

    card = models.ForeignKey(BobWeightCard, models.PROTECT, related_name="weights")
    pin = models.PositiveSmallIntegerField()
    rods = models.PositiveSmallIntegerField()
    rotating_g = ExactDecimalField(**GRAMS)
    reciprocating_g = ExactDecimalField(**GRAMS)
    total_g = ExactDecimalField(**GRAMS)
    U_g = ExactDecimalField(**GRAMS)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["card", "pin"], name="one_bob_per_pin")
        ]

    def __str__(self) -> str:
        return f"pin {self.pin}: {self.total_g} g"


class CardSource(Record):
    """A weighing that a card was reckoned from."""

    ledger_fields: ClassVar = {1: ("card", "weighing")}

    card = models.ForeignKey(BobWeightCard, models.PROTECT, related_name="sources")
    weighing = models.ForeignKey(Weighing, models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["card", "weighing"], name="a_source_once")
        ]

    def __str__(self) -> str:
        return str(self.weighing_id)

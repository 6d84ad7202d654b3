"""Recalls: a scale found out, the builds it touched, each decision reckoned again, and the end."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from records.models.base import GRAMS, Deed, Record
from records.models.builds import Build
from records.models.exact import ExactDecimalField
from records.models.findings import Finding
from records.models.parts import Part
from records.models.releases import Release
from records.models.removals import Removal
from records.models.scales import Calibration, CheckWeight, Scale, ScaleCheck


class Recall(Deed):
    """A scale found out by a calibration or a check, and the window that is in doubt.

    `points` are its errors as found, `proofs` the newest passed check of each load that would have
    shown the fault; `check_weight` where a wrong weight had let the scale pass.
    """

    ledger_fields: ClassVar = {
        1: (
            "scale",
            "calibration",
            "scale_check",
            "check_weight",
            "cause",
            "since",
            "until",
            "points",
            "proofs",
            "recorded_at",
            "recorded_by",
        )
    }

    scale = models.ForeignKey(Scale, models.PROTECT, related_name="recalls")
    calibration = models.ForeignKey(Calibration, models.PROTECT, null=True, related_name="recalls")
    scale_check = models.ForeignKey(ScaleCheck, models.PROTECT, null=True, related_name="recalls")
    check_weight = models.ForeignKey(CheckWeight, models.PROTECT, null=True, related_name="recalls")
    cause = models.CharField(max_length=400)
    since = models.DateTimeField(null=True)  # null: never calibrated before, so all there is
    until = models.DateTimeField()
    points = models.JSONField()  # [load_g, error_g, U_g, k] as exact texts, loads ascending
    proofs = models.JSONField()  # [load_g, moment] as texts

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(calibration__isnull=False, scale_check__isnull=True)
                | Q(calibration__isnull=True, scale_check__isnull=False),
                name="found_out_by_calibration_or_check",
            ),
            models.UniqueConstraint(fields=["calibration"], name="one_recall_per_calibration"),
            models.UniqueConstraint(fields=["scale_check"], name="one_recall_per_check"),
        ]

    def __str__(self) -> str:
        return f"recall {self.pk} of {self.scale_id}"


class RecallCase(Deed):
    """A build that the scale touched: how many weighings, and the worst outcome.

    `release` is the certificate that rests on them, `finding` what was opened on the build; both
    null where no decision rests on a touched weighing.
    """

    ledger_fields: ClassVar = {
        1: (
            "recall",
            "build",
            "release",
            "finding",
            "weighings",
            "outcome",
            "recorded_at",
            "recorded_by",
        )
    }

    recall = models.ForeignKey(Recall, models.PROTECT, related_name="cases")
    build = models.ForeignKey(Build, models.PROTECT, related_name="recall_cases")
    release = models.ForeignKey(Release, models.PROTECT, null=True, related_name="recall_cases")
    finding = models.ForeignKey(Finding, models.PROTECT, null=True, related_name="recall_cases")
    weighings = models.PositiveIntegerField()
    outcome = models.CharField(max_length=24)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["recall", "build"], name="one_case_per_build"),
            models.CheckConstraint(condition=Q(weighings__gt=0), name="a_case_has_weighings"),
        ]

    def __str__(self) -> str:
        return f"{self.recall}: {self.build_id}, {self.outcome}"


class RecallItem(Record):
    """One decision, before and after; the columns after are null where it can't be reckoned."""

    ledger_fields: ClassVar = {
        1: (
            "case",
            "key",
            "kind",
            "place",
            "removal",
            "limit_g",
            "before_g",
            "before_U_g",
            "before_verdict",
            "before_margin_g",
            "after_g",
            "after_U_g",
            "after_verdict",
            "after_margin_g",
            "outcome",
            "text",
            "touched",
        )
    }

    case = models.ForeignKey(RecallCase, models.PROTECT, related_name="items")
    key = models.CharField(max_length=40)
    kind = models.CharField(max_length=20)
    place = models.PositiveSmallIntegerField(null=True)  # of a bob weight the pin
    removal = models.ForeignKey(Removal, models.PROTECT, null=True, related_name="+")
    limit_g = ExactDecimalField(**GRAMS, null=True)
    before_g = ExactDecimalField(**GRAMS)
    before_U_g = ExactDecimalField(**GRAMS)
    before_verdict = models.CharField(max_length=20)
    before_margin_g = ExactDecimalField(**GRAMS, null=True)
    after_g = ExactDecimalField(**GRAMS, null=True)
    after_U_g = ExactDecimalField(**GRAMS, null=True)
    after_verdict = models.CharField(max_length=20, blank=True)
    after_margin_g = ExactDecimalField(**GRAMS, null=True)
    outcome = models.CharField(max_length=24)
    text = models.TextField()
    touched = models.JSONField()  # ids of the weighings in doubt

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["case", "key"], name="one_item_per_decision")
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.outcome}"


class RecallPart(Record):
    """A part of which weighings are in doubt."""

    ledger_fields: ClassVar = {1: ("case", "part", "weighings")}

    case = models.ForeignKey(RecallCase, models.PROTECT, related_name="parts")
    part = models.ForeignKey(Part, models.PROTECT, related_name="recalled_in")
    weighings = models.PositiveIntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["case", "part"], name="a_part_once_in_a_case")
        ]

    def __str__(self) -> str:
        return str(self.part_id)


class CustomerNotice(Deed):
    """A letter drafted to a customer; nothing sends it. It bears numbers, no names."""

    ledger_fields: ClassVar = {
        1: ("case", "customer", "subject", "body", "recorded_at", "recorded_by")
    }

    case = models.OneToOneField(RecallCase, models.PROTECT, related_name="notice")
    customer = models.ForeignKey("records.Customer", models.PROTECT, related_name="notices")
    subject = models.CharField(max_length=200)
    body = models.TextField()

    def __str__(self) -> str:
        return self.subject


class RecallClearing(Deed):
    """The end of a case: how, why, and the certificate that took the old one's place."""

    ledger_fields: ClassVar = {
        1: ("case", "outcome", "reason", "release", "recorded_at", "recorded_by")
    }

    class Outcome(models.TextChoices):
        CLEARED = "cleared"  # the decisions stand as reckoned again
        RE_MEASURED = "re-measured"  # weighed again on a good scale: they stand
        REPLACED = "replaced"  # a later revision took the certificate's place
        WITHDRAWN = "withdrawn"

    case = models.OneToOneField(RecallCase, models.PROTECT, related_name="clearing")
    outcome = models.CharField(max_length=12, choices=Outcome)
    reason = models.TextField()
    release = models.ForeignKey(Release, models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=~Q(reason=""), name="a_clearing_has_its_reason")
        ]

    def __str__(self) -> str:
        return f"{self.outcome}: {self.reason}"

"""Releases and the certificates that go out with them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import Deed, Record
from records.models.builds import Build


class Release(Deed):
    """A build handed on: the frozen facts fix the certificate's number and revision."""

    ledger_fields: ClassVar = {
        1: (
            "build",
            "certificate_number",
            "revision",
            "check_code",
            "facts",
            "facts_sha256",
            "second_person",
            "not_for_competition",
            "no_seals_reason",
            "replaces",
            "released_at",
            "recorded_at",
            "recorded_by",
        )
    }

    build = models.ForeignKey(Build, models.PROTECT, related_name="releases")
    certificate_number = models.CharField(max_length=30)
    revision = models.PositiveIntegerField()
    check_code = models.CharField(max_length=8)
    facts = models.TextField()  # canonical JSON, as it is hashed and attached to the paper
    facts_sha256 = models.CharField(max_length=64)
    second_person = models.BooleanField()
    not_for_competition = models.BooleanField(default=False)
    no_seals_reason = models.CharField(max_length=400, blank=True)
    replaces = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    released_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["certificate_number", "revision"], name="one_release_per_revision"
            ),
            models.UniqueConstraint(fields=["build", "revision"], name="revisions_of_a_build"),
        ]

    def __str__(self) -> str:
        return f"{self.certificate_number} revision {self.revision}"


class EngineSeal(Record):
    """A seal that an inspector put on the engine."""

    ledger_fields: ClassVar = {1: ("release", "number", "where")}

    release = models.ForeignKey(Release, models.PROTECT, related_name="seals")
    number = models.CharField(max_length=80)
    where = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["release", "number"], name="a_seal_once")
        ]

    def __str__(self) -> str:
        return self.number


class Certificate(Deed):
    """The signed paper of a release, stored with its hash the moment it was issued."""

    ledger_fields: ClassVar = {
        1: ("release", "pdf", "pdf_sha256", "signer", "issued_at", "recorded_at", "recorded_by")
    }

    release = models.OneToOneField(Release, models.PROTECT, related_name="certificate")
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64, unique=True)
    signer = models.CharField(max_length=300)
    issued_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"paper of release {self.release_id}"


class CertificateState(Deed):
    """A later state of a certificate; the newest holds, and none means that it stands."""

    ledger_fields: ClassVar = {1: ("release", "state", "reason", "recorded_at", "recorded_by")}

    class State(models.TextChoices):
        STANDS = "stands"
        IN_DOUBT = "in doubt"
        REPLACED = "replaced"
        WITHDRAWN = "withdrawn"

    release = models.ForeignKey(Release, models.PROTECT, related_name="states")
    state = models.CharField(max_length=10, choices=State)
    reason = models.TextField()

    def __str__(self) -> str:
        return self.state

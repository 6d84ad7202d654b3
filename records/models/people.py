"""People as the record knows them: a shop number and the roles it was given."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from records.models.base import Deed, Record


class Person(Record):
    """Someone, or a service such as a scale bridge, that deeds are recorded under."""

    ledger_fields: ClassVar = {1: ("number", "kind", "recorded_at")}

    class Kind(models.TextChoices):
        PERSON = "person"
        SERVICE = "service"

    number = models.CharField(primary_key=True, max_length=20)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.PERSON)
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.number


class RoleGrant(Deed):
    """A role given to a person, from now on."""

    ledger_fields: ClassVar = {1: ("person", "role", "recorded_at", "recorded_by")}

    class Role(models.TextChoices):
        TECHNICIAN = "technician"
        INSPECTOR = "inspector"
        MANAGER = "manager"
        VIEWER = "viewer"

    person = models.ForeignKey(Person, models.PROTECT, related_name="grants")
    role = models.CharField(max_length=12, choices=Role)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(role__in=["technician", "inspector", "manager", "viewer"]),
                name="role_is_known",
            )
        ]

    def __str__(self) -> str:
        return f"{self.person_id}: {self.role}"


class RoleEnd(Deed):
    """The end of a role."""

    ledger_fields: ClassVar = {1: ("grant", "reason", "recorded_at", "recorded_by")}

    grant = models.OneToOneField(RoleGrant, models.PROTECT, related_name="end")
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"end of {self.grant_id}"


class PersonEnd(Deed):
    """A person who no longer works here: no sign-in, no token, no deed."""

    ledger_fields: ClassVar = {1: ("person", "reason", "recorded_at", "recorded_by")}

    person = models.OneToOneField(Person, models.PROTECT, related_name="end")
    reason = models.CharField(max_length=400)

    def __str__(self) -> str:
        return f"end of {self.person_id}"


class PersonContact(models.Model):
    """A person's name, kept apart so that it can be erased without touching the record."""

    person = models.OneToOneField(Person, models.PROTECT, primary_key=True, related_name="contact")
    name = models.CharField(max_length=200)
    email = models.EmailField(blank=True)

    def __str__(self) -> str:
        return self.name


class Customer(Deed):
    """Whom an engine is done for, by the shop's number."""

    ledger_fields: ClassVar = {1: ("number", "recorded_at", "recorded_by")}

    number = models.CharField(primary_key=True, max_length=20)

    def __str__(self) -> str:
        return self.number


class CustomerContact(models.Model):
    """A customer's name and address, erasable without touching the record."""

    customer = models.OneToOneField(
        Customer, models.PROTECT, primary_key=True, related_name="contact"
    )
    name = models.CharField(max_length=200)
    email = models.EmailField(blank=True)

    def __str__(self) -> str:
        return self.name

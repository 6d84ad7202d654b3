"""Sign-in: changeable rows that point to a person or a customer of the record."""

from __future__ import annotations

from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models

from records.models.people import Customer, Person


class UserManager(BaseUserManager["User"]):
    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(username=username)


class User(AbstractBaseUser):
    """An account; what it may do follows from the roles of its person, or its customer."""

    username = models.CharField(max_length=80, unique=True)
    person = models.OneToOneField(
        Person, models.PROTECT, null=True, blank=True, related_name="account"
    )
    customer = models.ForeignKey(
        Customer, models.PROTECT, null=True, blank=True, related_name="accounts"
    )
    # A shadow of the person's rows, so that Django's own checks see it.
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = UserManager()

    USERNAME_FIELD = "username"

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(person__isnull=False) ^ models.Q(customer__isnull=False),
                name="account_is_a_person_or_a_customer",
            )
        ]

    def __str__(self) -> str:
        return self.username


class Token(models.Model):
    """A key for a program, kept as its SHA-256 only, with just the scopes it needs."""

    user = models.ForeignKey(User, models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=80)
    key_hash = models.CharField(max_length=64, unique=True)
    scopes = models.JSONField(default=list)
    bench = models.CharField(max_length=40, blank=True)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name

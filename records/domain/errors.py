"""One error tree: a stable code, a sentence, what was expected and what came.

Fronts turn the class into an answer (400 unreadable, 422 a value, 403 not allowed, 404 not found,
409 a conflict with the record) and never parse the sentence.
"""

from __future__ import annotations

from enum import StrEnum


class Code(StrEnum):
    """Every code that a front may show. Codes are never renamed; a new meaning is a new code."""

    # what came can't be read
    UNREADABLE = "unreadable"
    # a value
    MISSING = "missing"
    UNKNOWN_KEY = "unknown_key"
    BAD_VALUE = "bad_value"
    NOT_A_NUMBER = "not_a_number"
    OUT_OF_RANGE = "out_of_range"
    UNKNOWN_UNIT = "unknown_unit"
    UNKNOWN_NUMBER = "unknown_number"
    UNKNOWN_TOPIC = "unknown_topic"
    IN_THE_FUTURE = "in_the_future"
    NO_ACCEPTANCE_ZONE = "no_acceptance_zone"
    # a conflict with the record
    ALREADY_THERE = "already_there"
    CONFLICT = "conflict"
    RELEASE_BLOCKED = "release_blocked"
    KEY_MISSING = "key_missing"
    KEY_REUSED = "key_reused"
    KEY_IN_USE = "key_in_use"
    # who may
    NOT_SIGNED_IN = "not_signed_in"
    METHOD_NOT_ALLOWED = "method_not_allowed"
    TOO_MANY = "too_many"
    TOO_LARGE = "too_large"
    MEDIA_TYPE = "media_type"
    BUSY = "busy"
    INSIDE = "inside"
    NOT_ALLOWED = "not_allowed"
    NOT_FOUND = "not_found"
    # proof
    NOT_PROVEN = "not_proven"
    # paper
    NOT_RENDERED = "not_rendered"
    KEY_UNUSABLE = "key_unusable"
    WRONG_PASSPHRASE = "wrong_passphrase"  # noqa: S105  a code, not a secret
    # our own mistake, never a user's
    NO_TRANSACTION = "no_transaction"


class TarebookError(Exception):
    """Carry a code, a sentence, the field concerned, and what was expected and got."""

    def __init__(
        self,
        code: Code,
        message: str,
        *,
        field: str = "",
        expected: str = "",
        got: str = "",
    ) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.field = field
        self.expected = expected
        self.got = got

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" if self.field else self.message


class Unreadable(TarebookError):
    """What came can't be read at all (HTTP 400)."""


class BadValue(TarebookError):
    """A value is missing, impossible or of the wrong kind (HTTP 422)."""


class Conflict(TarebookError):
    """The deed contradicts what stands on the record (HTTP 409)."""


class NotAllowed(TarebookError):
    """This person may not do this deed (HTTP 403)."""


class NotFound(TarebookError):
    """There is no such thing, or it isn't yours (HTTP 404)."""


class NotProven(TarebookError):
    """A check of the record or of a paper failed, or could not be made: it fails closed."""


class ManyErrors(TarebookError):
    """Several errors at once, as of the rows of a sheet (HTTP 422)."""

    def __init__(self, errors: list[TarebookError]) -> None:
        first = errors[0]
        super().__init__(first.code, f"{len(errors)} errors, the first: {first}", field=first.field)
        self.errors = tuple(errors)

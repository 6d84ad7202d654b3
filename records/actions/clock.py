"""The clock a deed is recorded by: the machine's, or one that a demo shop sets."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from records.domain.errors import BadValue, Code

AHEAD = timedelta(minutes=5)
LATE = timedelta(minutes=15)


class Clock(Protocol):
    """What an action takes its time from; `is_set` is true for a demo's clock."""

    @property
    def is_set(self) -> bool: ...

    def now(self) -> datetime: ...


class SystemClock:
    """The machine's clock."""

    is_set = False

    def now(self) -> datetime:
        return datetime.now(UTC)


@dataclass
class SetClock:
    """A clock that stands where it was put; only a demo shop may record by it."""

    at: datetime
    is_set: bool = True

    def now(self) -> datetime:
        return self.at

    def forward(self, **span: float) -> datetime:
        """Move on by a span such as `minutes=5` and return the new time."""
        self.at += timedelta(**span)
        return self.at


SYSTEM: Clock = SystemClock()


def check_zoned(moment: datetime, field: str) -> None:
    """Refuse a time that doesn't say its zone (BadValue)."""
    if moment.tzinfo is None:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a time with its zone, got {moment.isoformat()}",
            field=field,
            expected="a time with its zone",
            got=moment.isoformat(),
        )


def check_not_ahead(moment: datetime, now: datetime, field: str) -> None:
    """Refuse a time more than five minutes ahead (BadValue `in_the_future`)."""
    check_zoned(moment, field)
    if moment > now + AHEAD:
        raise BadValue(
            Code.IN_THE_FUTURE,
            f"{moment:%Y-%m-%d %H:%M} UTC lies ahead of {now:%Y-%m-%d %H:%M} UTC; "
            "check the clock it was taken by",
            field=field,
            expected=f"at most {AHEAD.seconds // 60} minutes ahead",
            got=moment.isoformat(),
        )


def is_late(moment: datetime, now: datetime) -> bool:
    """Say whether what happened then is entered after the fact now."""
    return now - moment > LATE

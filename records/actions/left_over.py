"""What is left to do, taken up again at somebody's word."""

from __future__ import annotations

from records import outbox
from records.actions.deed import roles_now
from records.domain.practice.roles import check_may


def do_what_is_left(*, by: str) -> int:
    """Start again what waits in the outbox, and return how much there was.

    No deed of the record and so no entry: each task is one. Errors: NotAllowed for who has no role.
    """
    check_may(roles_now(by), "read", by)
    return outbox.sweep()

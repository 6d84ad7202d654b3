"""How a page does a deed: once, and with what went wrong said at the field."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any

from django.core.cache import cache
from django.db import OperationalError

from records.domain.errors import (
    BadValue,
    Conflict,
    ManyErrors,
    NotAllowed,
    NotFound,
    TarebookError,
    Unreadable,
)
from shop.web.forms.deed import DeedForm
from shop.web.views.page import Asked

SENT_TWICE_S = 600
STATUS: tuple[tuple[type[TarebookError], int], ...] = (
    (Unreadable, 400),
    (NotAllowed, 403),
    (NotFound, 404),
    (Conflict, 409),
    (ManyErrors, 422),
    (BadValue, 422),
)


def refused(request: Asked, form: DeedForm, do: Callable[[dict[str, Any]], object]) -> int:
    """Do a deed with what a form holds; return 0, or the status of the refusal.

    What went wrong then stands on the form, and nothing was recorded. The same page sent twice
    does the deed once: the second is answered like the first.
    """
    if not form.is_valid():
        return 422
    key = _key(request)
    if key and not cache.add(key, True, SENT_TWICE_S):
        return 0
    try:
        do(form.cleaned_data)
    except TarebookError as error:
        form.take(error)
        return _forgotten(key, status_of(error))
    except OperationalError:
        form.add_error(None, "the record is busy; nothing was recorded: send it again")
        return _forgotten(key, 503)
    return 0


def status_of(error: TarebookError) -> int:
    """Return the HTTP status that an error of ours is answered with."""
    return next((status for kind, status in STATUS if isinstance(error, kind)), 409)


def _key(request: Asked) -> str:
    """Return what one sending of one page is known by; empty for a page without its mark."""
    once = request.POST.get("once", "")
    if not once:
        return ""
    told = f"{request.user.pk} {request.path} {once}"
    return "once:" + hashlib.sha256(told.encode()).hexdigest()


def _forgotten(key: str, status: int) -> int:
    if key:
        cache.delete_many([key])
    return status

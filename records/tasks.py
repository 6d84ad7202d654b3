"""Celery tasks: thin and repeatable; each calls one action."""

from __future__ import annotations

from celery import shared_task

from records import outbox
from records.actions.certificates import issue_certificate
from records.actions.releases import ISSUE


@shared_task(name=ISSUE)
def issue(key: str) -> None:
    """Issue the certificate of a release; a failure stays on the outbox row for the next sweep."""
    try:
        issue_certificate(release=int(key))
    except Exception as error:
        outbox.note_failure(ISSUE, key, error)
        raise

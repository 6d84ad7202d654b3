"""Celery tasks: thin and repeatable; each calls one action."""

from __future__ import annotations

from typing import Any

from celery import shared_task
from celery.signals import worker_ready

from records import outbox
from records.actions.certificates import issue_certificate
from records.actions.releases import ISSUE


@shared_task(name=ISSUE)
def issue(key: str) -> None:
    """Issue the certificate of a release; a failure stays on the outbox row for the next sweep."""
    if not outbox.begin(ISSUE, key):
        return
    try:
        issue_certificate(release=int(key))
    except Exception as error:
        outbox.note_failure(ISSUE, key, error)
        raise


@worker_ready.connect
def take_up_what_is_left(**_: Any) -> None:
    """Sweep when a worker starts: what a killed one held, Redis would hand out only much later."""
    outbox.sweep_at_server_start()

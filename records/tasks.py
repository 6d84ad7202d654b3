"""Celery tasks: thin and repeatable; each calls one action."""

from __future__ import annotations

from typing import Any

from celery import shared_task
from celery.signals import worker_ready

from records import outbox
from records.actions.certificates import issue_certificate
from records.actions.checkpoints import MAIL, mail_checkpoint, make_checkpoint
from records.actions.recalls import RECKON, reckon_recall
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


@shared_task(name=RECKON)
def reckon(key: str) -> None:
    """Follow a recall to all that it touched; the key is its row, and which time it is."""
    if not outbox.begin(RECKON, key):
        return
    try:
        reckon_recall(recall=int(key.partition("/")[0]), key=key)
    except Exception as error:
        outbox.note_failure(RECKON, key, error)
        raise


@shared_task(name="records.make_checkpoint")
def checkpoint() -> None:
    """Sign the log's head where there is news; the beat asks every minute."""
    make_checkpoint()


@shared_task(name=MAIL)
def mail(key: str) -> None:
    """Mail a head of the log; a failure stays on the outbox row for the next sweep."""
    if not outbox.begin(MAIL, key):
        return
    try:
        mail_checkpoint(checkpoint=int(key))
    except Exception as error:
        outbox.note_failure(MAIL, key, error)
        raise


@worker_ready.connect
def take_up_what_is_left(**_: Any) -> None:
    """Sweep when a worker starts: what a killed one held, Redis would hand out only much later."""
    outbox.sweep_at_server_start()

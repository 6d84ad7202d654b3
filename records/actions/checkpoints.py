"""Checkpoints: the log's head, signed once its leaves are committed, and handed outside.

Before it signs, the shop looks whether its log still holds what it promised: a head that it signed
earlier, and the newest in the folder outside. A log that lost something is signed no more.
"""

from __future__ import annotations

import logging

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import connection

from records import anchors, ledger, log, outbox
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import deed
from records.domain.errors import Code, NotProven
from records.domain.proof.checkpoint import Checkpoint
from records.domain.proof.tlog_proof import TlogProof
from records.ledger import Receipt
from records.log import KeptCheckpoint, Nodes
from records.log_keys import LogSigner, fresh_log_key, log_signer, open_known, take_up_log_key
from records.models import ShopSettings

told = logging.getLogger("tarebook.log")

MAIL = "records.mail_checkpoint"
FOLDER = "folder"


def make_checkpoint(*, clock: Clock = SYSTEM, mail: bool = False) -> KeptCheckpoint | None:
    """Take up what was committed, sign the log's head when it has news, and put it outside.

    Without news it returns the newest head, and puts that outside if it isn't there yet; None for
    an empty log. `mail` sends it as well, where an address is set.
    Errors: NotProven when the log no longer extends what was signed, or no key can be used.
    """
    log.take_up_entries()
    # apart from the taking up: what is signed must be committed, or a head could promise too much
    with log.alone():
        made = _signed_now(log_signer(demo=_is_demo()), clock, mail)
    if made is not None:
        _put_outside(made, clock)
    return made


def proof_of(receipt: Receipt, *, clock: Clock = SYSTEM) -> TlogProof:
    """Return the proof that an entry is in the log, under the first head that covers it.

    Asked again it is the same, byte for byte. Where no head covers the entry yet, one is made.
    Errors: NotProven when none can be made.
    """
    index = log.index_of(receipt.stream, receipt.seq)
    cover = None if index is None else log.first_checkpoint_over(index)
    if cover is None:
        make_checkpoint(clock=clock)
        index = log.index_of(receipt.stream, receipt.seq)
        cover = None if index is None else log.first_checkpoint_over(index)
    if index is None or cover is None:
        raise NotProven(
            Code.NOT_PROVEN,
            f"{receipt.stream} {receipt.seq}: expected an entry that was committed, got none",
        )
    return TlogProof(index, Nodes().inclusion(index, cover.size), cover.note)


def mail_checkpoint(*, checkpoint: int, clock: Clock = SYSTEM) -> None:
    """Send a head to the addresses that the settings name; doing it again sends nothing."""
    kept = log.checkpoint(checkpoint)
    for address in settings.TAREBOOK_ANCHOR_EMAIL:
        if not log.is_anchored(kept.pk, address):
            _mail(kept, address).send()
            log.note_anchor(kept.pk, address, clock.now())
    outbox.note_done(MAIL, str(checkpoint))


def change_log_key(*, by: str, reason: str, clock: Clock = SYSTEM) -> LogSigner:
    """Let a new key sign the log from here on; the old one signs once more, over the entry of this.

    So whoever trusts the old key finds the new one named in the log that the old one signed.
    Errors: NotAllowed for who is no manager; NotProven when the key isn't ours to change.
    """
    old = log_signer(demo=_is_demo())
    new = fresh_log_key(name=old.name)
    with deed(by=by, name="set rules", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        named = {"old_key": str(old.key), "new_key": str(new.key), "reason": reason}
        act.enter(ledger.SHOP_STREAM, "log key replaced", [], named)
    make_checkpoint(clock=clock)
    with log.alone():
        last = log.newest_checkpoint()
        take_up_log_key(new, old=old.key, last_size=last.size if last else 0)
    make_checkpoint(clock=clock)
    return new


def checkpoint_at_server_start() -> None:
    """Make a head where there is news; whatever is in the way is logged, and no more."""
    try:
        make_checkpoint()
    except Exception as error:  # the server must come up
        told.warning("no checkpoint at server start: %s", error)
    finally:
        connection.close()


def _is_demo() -> bool:
    newest = ShopSettings.objects.order_by("-version").first()
    return bool(newest and newest.demo)


def _signed_now(signer: LogSigner, clock: Clock, mail: bool) -> KeptCheckpoint | None:
    nodes, size, newest = Nodes(), log.size(), log.newest_checkpoint()
    _check_it_extends(nodes, size, newest)
    if not size:
        return None
    if newest and (newest.size, newest.key_id) == (size, signer.key.key_id.hex()):
        return newest
    head = Checkpoint(signer.name, size, nodes.root(size))
    made = log.keep_checkpoint(
        size=size,
        root=head.root,
        key_id=signer.key.key_id,
        note=signer.sign(head.text()),
        made_at=clock.now(),
    )
    if mail and settings.TAREBOOK_ANCHOR_EMAIL:
        outbox.leave(MAIL, str(made.pk), start_now=not clock.is_set)
    return made


def _check_it_extends(nodes: Nodes, size: int, newest: KeptCheckpoint | None) -> None:
    if newest:
        _check_one(nodes, size, newest.note, f"the checkpoint of {newest.size} entries")
    outside = anchors.newest_outside()
    if outside:
        _check_one(nodes, size, outside.note, outside.where)


def _check_one(nodes: Nodes, size: int, note: bytes, where: str) -> None:
    try:
        head = open_known(note)
    except NotProven as error:
        raise NotProven(error.code, f"{where}: {error.message}") from error
    if head.size > size or nodes.root(head.size) != head.root:
        raise NotProven(
            Code.NOT_PROVEN,
            f"expected a log that extends {where}, root {head.root.hex()}, got another of {size} "
            "entries; nothing was signed: run `manage.py verify`, and find out whether the "
            "database was changed, or an older one put back",
        )


def _put_outside(made: KeptCheckpoint, clock: Clock) -> None:
    """Write the head into the folder; one that is away gets the next head, which covers more."""
    if anchors.folder() is None or log.is_anchored(made.pk, FOLDER):
        return
    try:
        anchors.put_outside(size=made.size, key_id=made.key_id, note=made.note)
    except OSError as error:
        told.warning("checkpoint of %s entries not put outside: %s", made.size, error)
        return
    log.note_anchor(made.pk, FOLDER, clock.now())


def _mail(kept: KeptCheckpoint, address: str) -> EmailMessage:
    return EmailMessage(
        subject=f"Checkpoint of {kept.size} entries, {kept.made_at:%Y-%m-%d %H:%M} UTC",
        body=f"{KEEP_THIS}\n{kept.note.decode()}",
        to=[address],
        attachments=[(f"{kept.size}.checkpoint", kept.note, "text/plain")],
    )


KEEP_THIS = """\
This is the head of the shop's log, signed. Keep it: with the attached file, `manage.py verify
--checkpoint FILE` tells whether the record still holds all that it held now.
"""

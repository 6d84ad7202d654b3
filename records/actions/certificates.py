"""Certificates: rendered and signed outside any transaction, then issued once per revision."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

from records import ledger, outbox
from records.actions.checkpoints import make_checkpoint, proof_of
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import follow_up
from records.actions.lookup import found
from records.actions.releases import ISSUE
from records.documents.attached import LedgerWitness
from records.documents.layout.certificate import render_certificate
from records.documents.signing.sign import sign_pdf
from records.domain.errors import Code, NotProven
from records.domain.practice.certificate import CertificateFacts, LedgerPlace
from records.domain.proof.checkpoint import Checkpoint, open_checkpoint
from records.domain.proof.note import NoteKey
from records.log_keys import known_log_keys
from records.models import Certificate, Release
from records.queries.certificates import verify_address
from records.queries.people import customer_names_of, names_of
from records.shop_keys import shop_signer


@dataclass(frozen=True, slots=True)
class Signed:
    """A signed paper that no one has yet entered."""

    pdf: bytes
    sha256: str
    signer: str


def issue_certificate(*, release: int, clock: Clock = SYSTEM) -> Certificate:
    """Render, sign and issue the paper of a release; doing it again returns what was issued.

    The number was fixed by the release, so a process killed in between renders anew and never
    renumbers. Of two that race, the loser throws its file away. A head of the log is signed before,
    since the paper carries the proof that the release is under it, and after, over the paper's own
    entry.
    """
    row = found(Release, release, "release")
    issued = Certificate.objects.filter(release=row).first()
    if issued is None:
        issued = _issued(row, _signed(row, clock), clock)
    make_checkpoint(clock=clock, mail=True)
    outbox.note_done(ISSUE, str(release))
    return issued


def _signed(release: Release, clock: Clock) -> Signed:
    facts: CertificateFacts = json.loads(release.facts)
    place = ledger.receipt_of(release)
    paper = render_certificate(
        facts,
        facts_bytes=release.facts.encode(),
        ledger=LedgerPlace(
            stream=place.stream,
            seq=place.seq,
            hash=place.hash,
            facts_sha256=release.facts_sha256,
        ),
        names=_names(facts),
        verify_url=verify_address(release.certificate_number, release.check_code),
        witness=_witness(release, clock),
    )
    signer = shop_signer(
        shop_name=facts["shop"]["name"], demo=facts["demo"], valid_from=release.released_at
    )
    pdf = sign_pdf(
        paper,
        signer,
        reason=f"Certificate {release.certificate_number}, revision {release.revision}",
        location=facts["shop"]["place"],
        signed_at=clock.now(),
    )
    return Signed(pdf, hashlib.sha256(pdf).hexdigest(), signer.subject)


def _witness(release: Release, clock: Clock) -> LedgerWitness:
    entry = ledger.entry_naming(release)
    proof = proof_of(entry.receipt, clock=clock)
    head, key = _opened(proof.checkpoint)
    return LedgerWitness(entry.raw, bytes(proof), proof.index, head, str(key))


def _opened(note: bytes) -> tuple[Checkpoint, NoteKey]:
    """Return a head of our own and the key that signed it, under the log's own name."""
    head, signers = open_checkpoint(note, [known.key for known in known_log_keys()])
    for key in signers:
        if key.name == head.origin:
            return head, key
    raise NotProven(Code.NOT_PROVEN, f"expected a head signed by {head.origin}, got another's")


def _issued(release: Release, signed: Signed, clock: Clock) -> Certificate:
    stream = ledger.build_stream(release.build_id)
    with follow_up(of=release.recorded_by, streams=[stream], clock=clock) as act:
        other = Certificate.objects.filter(release=release).first()
        if other:
            return other
        row = Certificate.objects.create(
            release=release,
            pdf=signed.pdf,
            pdf_sha256=signed.sha256,
            signer=signed.signer,
            issued_at=act.at,
            **act.stamp,
        )
        act.enter(stream, "certificate issued", [row], {"pdf_sha256": signed.sha256})
        return row


def _names(facts: CertificateFacts) -> dict[str, str]:
    """Return the names to print beside the numbers of those whom the facts speak of."""
    people = facts["people"]
    numbers = {
        *people["weighed"],
        *people["cut"],
        *people["matched"],
        *people["fitted"],
        *people["answered"],
        people["released"],
        *(finding["by"] for finding in facts["findings"]),
    }
    customer = facts["build"]["customer"]
    return {**names_of(numbers), **customer_names_of([customer] if customer else [])}

"""What goes into a build's bundle: streams, proofs, the heads that its papers saw, the papers.

Who belongs to the shop gets the streams of the parts, scales and people of the build as well. A
customer gets the build's own: a scale and a part have served others too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db.models import QuerySet

from records import ledger, log
from records.documents.attached import PROOF_FILE
from records.documents.signing.examine import examine_pdf
from records.domain.errors import NotProven
from records.domain.proof.bundle import (
    BundleEntry,
    BundleFile,
    BundleStream,
    EarlierCheckpoint,
    write_bundle,
)
from records.domain.proof.envelope import read_envelope
from records.domain.proof.tlog_proof import read_tlog_proof
from records.log import KeptCheckpoint, Nodes
from records.log_keys import known_log_keys, open_known
from records.models import Certificate, Fitment, Release, Weighing
from records.queries.viewer import Viewer
from records.shop_keys import trusted_roots


def streams_of(build: str, viewer: Viewer) -> list[str]:
    """Return the streams that a viewer's bundle of a build holds."""
    own = ledger.build_stream(build)
    if not viewer.of_the_shop:
        return [own]
    parts = Fitment.objects.filter(build=build).values_list("part", flat=True)
    scales = Weighing.objects.filter(build=build).values_list("scale", flat=True)
    people = {entry.envelope.actor for entry in ledger.entries(own)}
    return [
        own,
        *sorted({ledger.part_stream(part) for part in parts}),
        *sorted({ledger.scale_stream(scale) for scale in scales}),
        *sorted({ledger.person_stream(person) for person in people}),
    ]


def bundle_under(head: KeptCheckpoint, build: str, streams: Iterable[str]) -> bytes:
    """Return the bundle of streams under a head of the log, with the papers of the build.

    Errors: NotFound for a stream of which the head covers nothing; NotProven when the bundle would
    not verify.
    """
    nodes = Nodes()
    return write_bundle(
        streams=[_stream(stream, head.size, nodes) for stream in streams],
        checkpoint=head.note,
        log_keys=[str(known.key) for known in known_log_keys()],
        files=[*_files(build, head.size)],
        earlier=[
            EarlierCheckpoint(note, nodes.consistency(size, head.size))
            for size, note in sorted(_heads_on_papers(build))
            if size <= head.size
        ],
        paper_keys=_paper_keys(),
    )


def _stream(stream: str, size: int, nodes: Nodes) -> BundleStream:
    return BundleStream(
        stream,
        [
            BundleEntry(raw, index, nodes.inclusion(index, size))
            for index, raw in log.covered_entries(stream, size)
        ],
    )


def _files(build: str, size: int) -> Iterator[BundleFile]:
    """Yield facts and papers whose entries the head covers; one that no entry names is refused."""
    named: set[str] = set()
    for _, raw in log.covered_entries(ledger.build_stream(build), size):
        data = read_envelope(raw).data
        named |= {data[key] for key in ("facts_sha256", "pdf_sha256") if key in data}
    for release in Release.objects.filter(build=build, facts_sha256__in=named).order_by("pk"):
        yield BundleFile("json", release.facts.encode())
    for paper in _papers(build).filter(pdf_sha256__in=named):
        yield BundleFile("pdf", bytes(paper.pdf))


def _heads_on_papers(build: str) -> set[tuple[int, bytes]]:
    """Return (size, note) of the heads that the build's papers carry."""
    heads = set()
    for paper in _papers(build):
        files = examine_pdf(bytes(paper.pdf), trusted_roots()).witness_files
        if PROOF_FILE in files:
            note = read_tlog_proof(files[PROOF_FILE]).checkpoint
            heads.add((open_known(note).size, note))
    return heads


def _papers(build: str) -> QuerySet[Certificate]:
    return Certificate.objects.filter(release__build=build).order_by("pk")


def _paper_keys() -> bytes:
    try:
        return b"".join(trusted_roots())
    except NotProven:
        return b""  # no paper was ever signed here

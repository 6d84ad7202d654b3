"""What a release rests on and leads to: findings, answers, cards, certificates and their states."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from hashlib import sha256

from records import ledger
from records.models import (
    AllowanceRuling,
    BalanceRule,
    BobWeight,
    BobWeightCard,
    Build,
    CardSource,
    Certificate,
    CertificateState,
    ChecklistAnswer,
    DamperRating,
    Disposition,
    EngineSeal,
    Finding,
    Match,
    Part,
    Release,
    Weighing,
    Zone,
)
from tests.records.factory.shop import START, a_person, entered, grams, stamp


def _in_build(build: Build) -> str:
    return ledger.build_stream(build.number)


def a_ruling(part: Part, zone: str, remaining_g: str) -> AllowanceRuling:
    """Return a new ruling on what may still come off a zone."""
    found = Zone.objects.get(spec=part.spec, key=zone)
    ruling = AllowanceRuling(
        part=part, zone=found, remaining_g=grams(remaining_g), reason="measured", **stamp(by="P-03")
    )
    entered(ruling, stream=ledger.part_stream(part.number))
    return ruling


def a_rating(
    part: Part, *, label: str = "L-1", expires_on: date = date(2027, 1, 1)
) -> DamperRating:
    """Return a new rating of a damper."""
    rating = DamperRating(
        part=part, label=label, body="the series", spec="18.1", expires_on=expires_on, **stamp()
    )
    entered(rating, stream=ledger.part_stream(part.number))
    return rating


def matched(build: Build, sets: Mapping[int, Sequence[str]], *, at: datetime = START) -> Match:
    """Return a new accepted match: which parts stand together at which place."""
    match = Match(
        build=build,
        kinds=["piston", "pin"],
        aim="spread",
        sets=[
            {"place": place, "parts": list(parts), "total_g": "600.0"}
            for place, parts in sets.items()
        ],
        spread_g=grams("1.2"),
        removed_g=grams("0"),
        bound_spread_g=grams("1.2"),
        proven=True,
        matched_at=at,
        operator=a_person("P-01"),
        **stamp(at, "P-01"),
    )
    entered(match, stream=_in_build(build), at=at)
    return match


def answered(build: Build, key: str, answer: str, *, at: datetime = START) -> ChecklistAnswer:
    """Return a new answer to a question of the build's checklist."""
    row = ChecklistAnswer(
        build=build,
        question=build.checklist.questions.get(key=key),
        answer=answer,
        operator=a_person("P-01"),
        answered_at=at,
        **stamp(at, "P-01"),
    )
    entered(row, stream=_in_build(build), at=at)
    return row


def a_finding(build: Build, key: str = "a-key", *, part: Part | None = None) -> Finding:
    """Return a new finding."""
    finding = Finding(
        build=build, part=part, key=key, code="forbidden_zone", text="cut in the crown", **stamp()
    )
    entered(finding, stream=_in_build(build))
    return finding


def decided(
    finding: Finding, decision: str = "concession", *, reason: str = "seen, and shallow"
) -> Disposition:
    """Return a new disposition of a finding by Ruth."""
    row = Disposition(finding=finding, decision=decision, reason=reason, **stamp(by="P-03"))
    entered(row, stream=_in_build(finding.build), actor="P-03")
    return row


def a_card(
    build: Build, sources: Iterable[Weighing] = (), *, revision: int = 1, at: datetime = START
) -> BobWeightCard:
    """Return a new bob-weight card for two pins."""
    card = BobWeightCard(
        build=build,
        revision=revision,
        rule=BalanceRule.objects.get(version=1),
        oil_g=grams("5"),
        fraction=grams("0.5"),
        issued_at=at,
        operator=a_person("P-02"),
        **stamp(at, "P-02"),
    )
    weights = [
        BobWeight(
            card=card,
            pin=pin,
            rods=2,
            rotating_g=grams("950.1"),
            reciprocating_g=grams("800.2"),
            total_g=grams("1750.3"),
            U_g=grams("0.9"),
        )
        for pin in (1, 2)
    ]
    named = [CardSource(card=card, weighing=weighing) for weighing in sources]
    entered(card, *weights, *named, stream=_in_build(build), at=at)
    return card


def released(
    build: Build,
    *,
    number: str = "FLB-26-0001",
    revision: int = 1,
    check_code: str = "7QK2M9XA",
    replaces: Release | None = None,
    seals: Sequence[str] = ("SEAL-7",),
    at: datetime = START,
) -> Release:
    """Return a new release of a build by Ruth, with its seals."""
    facts = f'{{"number":"{number}","revision":{revision}}}'
    release = Release(
        build=build,
        certificate_number=number,
        revision=revision,
        check_code=check_code,
        facts=facts,
        facts_sha256=sha256(facts.encode()).hexdigest(),
        second_person=True,
        no_seals_reason="" if seals else "the team seals it",
        replaces=replaces,
        released_at=at,
        **stamp(at, "P-03"),
    )
    put_on = [EngineSeal(release=release, number=seal, where="sump bolt") for seal in seals]
    entered(release, *put_on, stream=_in_build(build), at=at, actor="P-03")
    return release


def issued(release: Release, pdf: bytes | None = None, *, at: datetime = START) -> Certificate:
    """Return the stored paper of a release; its bytes are no PDF unless given."""
    raw = pdf or f"paper of {release.certificate_number} {release.revision}".encode()
    paper = Certificate(
        release=release,
        pdf=raw,
        pdf_sha256=sha256(raw).hexdigest(),
        signer="CN=Ferrow Lane Balancing",
        issued_at=at,
        **stamp(at, "P-03"),
    )
    entered(paper, stream=_in_build(release.build), at=at, actor="P-03")
    return paper


def put_in_state(
    release: Release, state: str, *, reason: str = "scale S-02 was found wrong"
) -> CertificateState:
    """Return a new state of a certificate."""
    row = CertificateState(release=release, state=state, reason=reason, **stamp(by="P-03"))
    entered(row, stream=_in_build(release.build), actor="P-03")
    return row

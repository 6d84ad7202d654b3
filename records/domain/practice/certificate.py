"""The frozen facts of a certificate: what a release hashes, and what its paper prints.

Plain objects that canonical JSON can carry: texts, integers, true and false, null, lists. A decimal
is a text in grams or millimetres, as exact as the reckoning gave it (the paper rounds it, once); a
day is `2026-03-06`, a moment is `2026-03-06T14:05:00Z`. People and customers stand here by shop
number only, since a name can be erased and a hash can't.
"""

from __future__ import annotations

from typing import Literal, TypedDict

SCHEMA = 1

Kind = Literal["set", "big end", "whole rod"]
Verdict = Literal["pass", "conditional pass", "conditional fail", "fail"]


class ShopFacts(TypedDict):
    """The shop, and the time zone (IANA name) that its days are counted in."""

    name: str
    place: str
    timezone: str


class NumberAndRevision(TypedDict):
    """A certificate, named."""

    number: str
    revision: int


class CertificateNumber(TypedDict):
    """This certificate: what it replaces, its check code (8 characters), when it was released."""

    number: str
    revision: int
    replaces: NumberAndRevision | None
    check_code: str
    released_at: str


class BuildFacts(TypedDict):
    """The engine; `customer` is a shop number, null where the shop books none."""

    number: str
    engine: str
    customer: str | None
    layout: str
    cylinders: int
    use: Literal["street", "competition"]
    not_for_competition: bool  # a competition build whose rating was not valid
    not_for_competition_reason: str
    balance: Literal["neutral", "external"]
    stroke_mm: str | None
    rod_length_mm: str | None
    event_day: str | None


class RuleVersion(TypedDict):
    """A rule of the shop that a judgement rests on."""

    name: str
    version: str


class Promise(TypedDict):
    """What was promised for one kind; `tolerance_g` is greatest minus least, always."""

    kind: Kind
    tolerance_g: str
    promised_as: Literal["spread", "plus or minus"]
    promised_g: str  # as it was said: half the tolerance when it was said as plus or minus
    guard_r: str
    rule: RuleVersion


class PartNamed(TypedDict):
    """A part by the shop's number and its maker's serial."""

    kind: str
    shop_number: str
    serial: str | None


class PlaceJudged(TypedDict):
    """One place of a kind: its mass, and its difference to the lightest with that one's own u.

    `u_g`, `U_g` and `conformance_probability` are null at the lightest place, which is compared
    with nothing.
    """

    place: int
    parts: list[PartNamed]
    before_g: str | None
    after_g: str
    mass_U_g: str
    difference_g: str
    u_g: str | None
    U_g: str | None
    verdict: Verdict
    conformance_probability: str | None


class Judgement(TypedDict):
    """A kind, judged place by place, in engine order."""

    kind: Kind
    evidence: str  # "weighed together", "sum of parts weighed apart", "hung", …
    lightest_place: int
    places: list[PlaceJudged]
    spread_before_g: str | None
    spread_after_g: str


class PartMass(TypedDict):
    """A weighing of one part before and after the work; without a place it stands for every one."""

    place: int | None
    kind: str
    what: Literal["whole", "big end", "small end"]
    how: str  # "on the pan", "hung", "whole minus the other end", "declared"
    shop_number: str
    serial: str | None
    marking: str
    before_g: str | None
    after_g: str
    U_g: str | None
    removed_g: str | None


class Step(TypedDict):
    """The step a scale shows in one unit."""

    unit: str
    step: str


class ScaleFacts(TypedDict):
    """A scale that evidence was weighed on, and the days on which its check passed."""

    number: str
    certificate_number: str
    calibrated_on: str
    due_on: str
    steps: list[Step]
    checks_passed_on: list[str]


class ZoneCut(TypedDict):
    """A zone that a removal touched, and the rule it then had."""

    zone: str
    rule: Literal["allowed", "limited", "forbidden"]


class RemovalFacts(TypedDict):
    """Metal taken off one part between two weighings."""

    shop_number: str
    kind: str
    zones: list[ZoneCut]
    spread: str
    method: str
    mass_g: str
    U_g: str
    by: str
    day: str
    heat: str
    late: bool


class AnswerFacts(TypedDict):
    """An answer to the safety checklist."""

    question: str
    answer: str
    detail: str
    by: str
    day: str


class FindingFacts(TypedDict):
    """A finding and what was done about it."""

    code: str
    text: str
    raised_on: str
    disposition: str  # "rework", "scrap", "concession", …
    reason: str
    by: str
    day: str


class PinWeight(TypedDict):
    """The bob weight of one crankpin."""

    pin: int
    rods: int
    rotating_g: str
    reciprocating_g: str  # the share that is counted
    total_g: str
    U_g: str


class BobWeightFacts(TypedDict):
    """The bob-weight card in force, or the sentence that says why none is needed."""

    needed: bool
    sentence: str
    card_revision: int | None
    rule: RuleVersion | None
    oil_g: str | None
    fraction: str | None
    pins: list[PinWeight]


class RatingFacts(TypedDict):
    """A damper's rating label, and the day for which it was judged."""

    label: str
    body: str
    spec: str
    expires_on: str | None
    judged_for: str
    valid: bool


class DamperFacts(TypedDict):
    """The damper: seen by us and named, or not seen, and why."""

    seen: bool
    name: str
    reason: str
    rating: RatingFacts | None


class SealFacts(TypedDict):
    """A seal on the engine."""

    number: str
    where: str


class SealsFacts(TypedDict):
    """The seals fitted; with none, the reason."""

    fitted: list[SealFacts]
    reason: str


class PeopleFacts(TypedDict):
    """Who did what, by shop number."""

    weighed: list[str]
    cut: list[str]
    matched: list[str]
    fitted: list[str]
    answered: list[str]
    released: str


class CertificateFacts(TypedDict):
    """All that a certificate says, as it was at release."""

    schema: int
    demo: bool
    shop: ShopFacts
    certificate: CertificateNumber
    build: BuildFacts
    promises: list[Promise]
    judgements: list[Judgement]
    parts: list[PartMass]
    scales: list[ScaleFacts]
    removals: list[RemovalFacts]
    checklist: list[AnswerFacts]
    findings: list[FindingFacts]
    bob_weight: BobWeightFacts
    damper: DamperFacts
    seals: SealsFacts
    people: PeopleFacts
    second_person: bool
    versions: list[RuleVersion]
    not_covered: list[str]
    cautions: list[str]
    conventional_mass: str


class LedgerPlace(TypedDict):
    """Where the release stands in the ledger.

    Apart from the facts, since the entry holds their hash and so can't be inside them.
    """

    stream: str
    seq: int
    hash: str
    facts_sha256: str

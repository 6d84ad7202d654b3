"""What a cut says about the zone it was made in: the record keeps it as it happened.

A cut in a forbidden zone, by a method the zone doesn't allow, over its limit, or in one spot where
all round or both sides is asked is never refused, since a record that refuses bad news is blind;
it raises a finding that blocks the release.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from records.domain.practice.facts import BuildFacts, RemovalFacts
from records.domain.practice.facts_of_parts import PartFacts, ZoneFacts
from records.domain.practice.finding import Finding, FindingCode, finding

FORBIDDEN = "forbidden"
ONE_SPOT = "one spot"
ANY = "any"


def zone_findings(facts: BuildFacts, parts: Iterable[PartFacts]) -> tuple[Finding, ...]:
    """Return what the cuts on these parts raise.

    A forbidden zone and a limit over a part's whole life speak of cuts in any build, since a
    concession is given for one build; method, spread and leave of the cuts of this one.
    """
    found: list[Finding] = []
    for part in parts:
        cuts = [removal for removal in facts.removals if removal.part == part.number]
        for cut in cuts:
            found += _of_one_cut(cut, part, is_here=cut.build == facts.number)
        for zone in part.spec.zones:
            found += _of_one_zone(zone, part, cuts)
    return tuple(found)


def taken_g(zone: ZoneFacts, cuts: Iterable[RemovalFacts]) -> Decimal:
    """Return the grams taken in a zone over the part's life; each cut counts whole in each zone.

    Zero or slightly negative within U counts 0. No guard band: the bare sum is compared.
    """
    grams = (cut.mass_g for cut in cuts if zone.id in cut.zones and cut.mass_g is not None)
    return sum((max(mass, Decimal(0)) for mass in grams), Decimal(0))


def remaining_g(zone: ZoneFacts, part: PartFacts, cuts: Sequence[RemovalFacts]) -> Decimal | None:
    """Return what may still come off this zone, at least 0; None while no number is known.

    The zone's limit over the part's life and an inspector's ruling both hold; of a part with
    earlier cuts nothing is known without a ruling.
    """
    if zone.rule == FORBIDDEN:
        return Decimal(0)
    left = []
    if zone.limit_g is not None:
        left.append(zone.limit_g - taken_g(zone, cuts))
    ruled = part.rulings.get(zone.id)
    if ruled is not None:
        left.append(ruled - taken_g(zone, _since_ruling(zone, part, cuts)))
    elif _was_cut_before(part):
        return None
    return max(min(left), Decimal(0)) if left else None


def step_advice(removal: RemovalFacts, part: PartFacts) -> str:
    """Return a sentence when a removal took more than the zone's largest step, else nothing.

    Advice and no finding: one removal may hold several passes.
    """
    if removal.mass_g is None:
        return ""
    steps = {
        zone.name: zone.step_g
        for zone in part.spec.zones
        if zone.id in removal.zones and zone.step_g is not None and removal.mass_g > zone.step_g
    }
    return "; ".join(
        f"{removal.mass_g} g at once in {name}: the largest step is {step_g} g, weigh in between"
        for name, step_g in steps.items()
    )


def _of_one_cut(cut: RemovalFacts, part: PartFacts, *, is_here: bool) -> list[Finding]:
    by_id = {zone.id: zone for zone in part.spec.zones}
    found = []
    for zone_id in cut.zones:
        zone = by_id.get(zone_id)
        if zone is None:
            text = f"{part.number}: removal {cut.id} names a zone that its spec hasn't"
            found.append(_raise(FindingCode.OUTSIDE_THE_MAP, text, part, cut.id, zone_id))
        elif zone.rule == FORBIDDEN:
            text = f"{part.number}: cut in a forbidden zone, {zone.name}: {zone.why}"
            found.append(_raise(FindingCode.FORBIDDEN_ZONE, text, part, cut.id, zone_id))
        elif is_here:
            found += _manner(cut, zone, part)
    return found


def _manner(cut: RemovalFacts, zone: ZoneFacts, part: PartFacts) -> list[Finding]:
    """Return what the way of cutting in a zone that may be cut raises."""
    found = []
    if cut.method not in zone.methods:
        allowed = ", ".join(zone.methods) or "none"
        text = f"{part.number}: {cut.method} in {zone.name}, where the methods are {allowed}"
        found.append(_raise(FindingCode.METHOD_NOT_ALLOWED, text, part, cut.id, zone.id))
    if cut.spread == ONE_SPOT and zone.spread != ANY:
        text = f"{part.number}: cut in one spot in {zone.name}, where {zone.spread} is asked"
        found.append(_raise(FindingCode.ONE_SPOT, text, part, cut.id, zone.id))
    if zone.maker_leave:
        text = f"{part.number}: cut in {zone.name}, which needs the maker's leave; name it"
        found.append(_raise(FindingCode.MAKER_LEAVE, text, part, cut.id, zone.id))
    return found


def _of_one_zone(zone: ZoneFacts, part: PartFacts, cuts: Sequence[RemovalFacts]) -> list[Finding]:
    """Return what all a part's cuts in one zone raise together."""
    here = [cut for cut in cuts if zone.id in cut.zones]
    if not here or zone.rule == FORBIDDEN:
        return []
    ids = [cut.id for cut in here]
    ruled = part.rulings.get(zone.id)
    where = f"{part.number}, {zone.name}"
    if ruled is None and _was_cut_before(part):
        text = (
            f"{where}: cut, though it came with earlier cuts; an inspector says what may come off"
        )
        return [_raise(FindingCode.ALLOWANCE_UNKNOWN, text, part, zone.id, *ids)]
    if ruled is None and zone.limit_g is None:
        text = f"{where}: cut, though no limit is known; an inspector says what may come off"
        return [_raise(FindingCode.LIMIT_MISSING, text, part, zone.id, *ids)]
    found = []
    if zone.limit_g is not None and (total_g := taken_g(zone, here)) > zone.limit_g:
        text = f"{where}: {total_g} g taken over its life, the limit is {zone.limit_g} g"
        found.append(_raise(FindingCode.OVER_LIMIT, text, part, zone.id, zone.limit_g, *ids))
    if ruled is not None:
        found += _over_ruling(zone, part, here, ruled)
    return found


def _over_ruling(
    zone: ZoneFacts, part: PartFacts, here: Sequence[RemovalFacts], ruled_g: Decimal
) -> list[Finding]:
    since = _since_ruling(zone, part, here)
    total_g = taken_g(zone, since)
    if total_g <= ruled_g:
        return []
    text = f"{part.number}, {zone.name}: {total_g} g taken, an inspector had said {ruled_g} g"
    ids = (cut.id for cut in since)
    return [_raise(FindingCode.OVER_LIMIT, text, part, zone.id, f"ruled {ruled_g}", *ids)]


def _since_ruling(
    zone: ZoneFacts, part: PartFacts, cuts: Sequence[RemovalFacts]
) -> list[RemovalFacts]:
    """Return the cuts that a ruling is spent on; all of them when its moment is unknown."""
    ruled_at = part.ruled_at.get(zone.id)
    return [cut for cut in cuts if ruled_at is None or cut.cut_at > ruled_at]


def _was_cut_before(part: PartFacts) -> bool:
    return part.intake is not None and part.intake.earlier_cuts


def _raise(code: FindingCode, text: str, part: PartFacts, *evidence: object) -> Finding:
    return finding(code, text, *evidence, part=part.number)

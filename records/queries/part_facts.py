"""Parts and their specs as facts."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from records.domain.practice.facts_of_parts import (
    IntakeFacts,
    PartFacts,
    RatingFacts,
    SpecFacts,
    ZoneFacts,
)
from records.models import (
    AllowanceRuling,
    DamperRating,
    Disposition,
    IntakeNote,
    Part,
    PartSpec,
    Zone,
)


def part_facts(numbers: Iterable[str], build: str | None = None) -> dict[str, PartFacts]:
    """Return the parts of these numbers, in seven queries; unknown ones are left out.

    With a build, the condition noted at intake is the newest of that build where it has one, else
    the newest of any: a part that came in cut stays one with earlier cuts.
    """
    wanted = list(numbers)
    scrapped = _scrapped_in(wanted)
    return {
        part.number: _part(part, build, scrapped.get(part.number, ""))
        for part in _with_notes(wanted)
    }


def spec_facts(spec: PartSpec) -> SpecFacts:
    """Return a spec with its zones in the order of entry (prefetch `zones` for many)."""
    return SpecFacts(
        number=spec.number,
        version=spec.version,
        kind=spec.kind,
        name=spec.name,
        metal=spec.metal,
        density_g_cm3=spec.density_g_cm3,
        zones=tuple(_zone(zone) for zone in sorted(spec.zones.all(), key=lambda zone: zone.pk)),
    )


def _with_notes(numbers: Iterable[str]) -> QuerySet[Part]:
    return (
        Part.objects.filter(number__in=list(numbers))
        .select_related("spec")
        .order_by("number")
        .prefetch_related(
            "spec__zones",
            Prefetch("intake_notes", IntakeNote.objects.order_by("-id")),
            Prefetch("rulings", AllowanceRuling.objects.order_by("id")),
            Prefetch("ratings", DamperRating.objects.order_by("-id")),
        )
    )


def _part(part: Part, build: str | None, scrapped_in: str) -> PartFacts:
    # oldest first, so that the newest of a zone stays
    rulings = {ruling.zone_id: ruling for ruling in part.rulings.all()}
    return PartFacts(
        number=part.number,
        serial=part.serial,
        marking=part.marking,
        spec=spec_facts(part.spec),
        intake=_intake(list(part.intake_notes.all()), build),
        rulings={zone: ruling.remaining_g for zone, ruling in rulings.items()},
        rating=_rating(part),
        ruled_at={zone: ruling.recorded_at for zone, ruling in rulings.items()},
        scrapped_in=scrapped_in,
    )


def _scrapped_in(parts: list[str]) -> dict[str, str]:
    """Return the build in which a part was scrapped, where that is the finding's last word."""
    later = Disposition.objects.filter(finding=OuterRef("finding"), pk__gt=OuterRef("pk"))
    last_words = Disposition.objects.filter(~Exists(later), finding__part__in=parts)
    scrapped = last_words.filter(decision=Disposition.Decision.SCRAP).order_by("id")
    return dict(scrapped.values_list("finding__part", "finding__build"))


def _intake(newest_first: list[IntakeNote], build: str | None) -> IntakeFacts | None:
    here = [note for note in newest_first if note.build_id == build]
    note = next(iter(here or newest_first), None)
    if note is None:
        return None
    return IntakeFacts(note.heat, note.cracks, note.earlier_cuts, note.note)


def _rating(part: Part) -> RatingFacts | None:
    newest = next(iter(part.ratings.all()), None)
    if newest is None:
        return None
    return RatingFacts(
        newest.label, newest.body, newest.spec, newest.expires_on, newest.recorded_at
    )


def _zone(zone: Zone) -> ZoneFacts:
    return ZoneFacts(
        id=zone.pk,
        key=zone.key,
        name=zone.name,
        rule=zone.rule,
        methods=tuple(zone.methods),
        limit_g=zone.limit_g,
        step_g=zone.step_g,
        spread=zone.spread,
        x_mm=zone.x_mm,
        maker_leave=zone.maker_leave,
        why=zone.why,
    )

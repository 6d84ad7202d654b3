"""Parts: those of a build, finding one, and what may still come off it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet

from records.domain.practice.facts_of_parts import IntakeFacts, PartFacts, RatingFacts, ZoneFacts
from records.domain.practice.zones import remaining_g, taken_g
from records.models import Fitment, Part
from records.queries.part_facts import part_facts
from records.queries.viewer import Viewer, check_build_is_theirs, not_found, seen_by
from records.queries.weighing_facts import removals_of_parts

MOST_FOUND = 50


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part in a list; `builds` in which it stood, oldest first, `now_in` where it stands."""

    number: str
    serial: str
    kind: str
    metal: str
    marking: str
    spec: str
    spec_version: int
    builds: tuple[str, ...]
    now_in: str


@dataclass(frozen=True, slots=True)
class FittedPart:
    """A part that stands in a build; without a place, one piece stands for every place."""

    place: int | None
    part: PartFacts


@dataclass(frozen=True, slots=True)
class ZoneLeft:
    """A zone of a part: what was taken over its life, and what may still come off it.

    `remaining_g` None: no number is known, and an inspector says what may come off.
    """

    zone: ZoneFacts
    taken_g: Decimal
    remaining_g: Decimal | None


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part with its spec, its condition and rating as last noted, and its zones."""

    row: PartRow
    spec_name: str
    intake: IntakeFacts | None
    rating: RatingFacts | None
    scrapped_in: str
    zones: tuple[ZoneLeft, ...]


def parts_of(build: str, viewer: Viewer) -> tuple[FittedPart, ...]:
    """Return the parts that stand in a build now, by kind and place.

    Errors: NotFound for a build that isn't there or isn't the viewer's.
    """
    check_build_is_theirs(build, viewer)
    standing = Fitment.objects.filter(build=build, end__isnull=True)
    fitted = list(standing.values_list("place", "part").order_by("id"))
    parts = part_facts((number for _, number in fitted), build)
    rows = [FittedPart(place, parts[number]) for place, number in fitted]
    return tuple(sorted(rows, key=lambda row: (row.part.kind, row.place or 0, row.part.number)))


def part_page(number: str, viewer: Viewer) -> PartPage:
    """Return a part with its zones; a customer sees their own builds alone among its builds.

    Errors: NotFound for a part that isn't there or never was in a build of the viewer's.
    """
    row = _rows(parts_seen_by(viewer).filter(number=number), viewer)
    if not row:
        raise not_found("part", number)
    facts = part_facts([number])[number]
    return PartPage(
        row=row[0],
        spec_name=facts.spec.name,
        intake=facts.intake,
        rating=facts.rating,
        scrapped_in=facts.scrapped_in,
        zones=_zones(facts),
    )


def zones_of(part: str, viewer: Viewer) -> tuple[ZoneLeft, ...]:
    """Return a part's zones with the grams taken and left.

    Errors: NotFound for a part that isn't there or never was in a build of the viewer's.
    """
    check_part_is_theirs(part, viewer)
    return _zones(part_facts([part])[part])


def find_parts(fragment: str, viewer: Viewer) -> tuple[PartRow, ...]:
    """Return the parts whose serial or number holds the fragment, at most 50, by number.

    Case doesn't matter; an empty fragment finds nothing.
    """
    wanted = fragment.strip()
    if not wanted:
        return ()
    found = Q(serial__icontains=wanted) | Q(number__icontains=wanted)
    return _rows(parts_seen_by(viewer).filter(found).order_by("number")[:MOST_FOUND], viewer)


def parts_seen_by(viewer: Viewer) -> QuerySet[Part]:
    """Return the parts that a viewer may know of: a customer's, those in builds of theirs."""
    if viewer.of_the_shop:
        return Part.objects.all()
    theirs = Fitment.objects.filter(seen_by(viewer, "build")).values("part")
    return Part.objects.filter(number__in=theirs)


def check_part_is_theirs(number: str, viewer: Viewer) -> None:
    """Raise NotFound for a part that isn't there or never was in a build of the viewer's."""
    if not parts_seen_by(viewer).filter(number=number).exists():
        raise not_found("part", number)


def _zones(part: PartFacts) -> tuple[ZoneLeft, ...]:
    cuts = removals_of_parts([part.number])
    return tuple(
        ZoneLeft(zone, taken_g(zone, cuts), remaining_g(zone, part, cuts))
        for zone in part.spec.zones
    )


def _rows(parts: QuerySet[Part], viewer: Viewer) -> tuple[PartRow, ...]:
    found = list(parts.select_related("spec"))
    fitments: dict[str, list[tuple[str, bool]]] = {}
    seen = Fitment.objects.filter(seen_by(viewer, "build"), part__in=[row.pk for row in found])
    ordered = seen.order_by("fitted_at", "id").values_list("part", "build", "end")
    for part, build, end in ordered:
        fitments.setdefault(part, []).append((build, end is None))
    return tuple(_row(part, fitments.get(part.number, [])) for part in found)


def _row(part: Part, fitments: list[tuple[str, bool]]) -> PartRow:
    standing = [build for build, stands in fitments if stands]
    return PartRow(
        number=part.number,
        serial=part.serial,
        kind=part.spec.kind,
        metal=part.spec.metal,
        marking=part.marking,
        spec=part.spec.number,
        spec_version=part.spec.version,
        builds=tuple(dict.fromkeys(build for build, _ in fitments)),
        now_in=standing[-1] if standing else "",
    )

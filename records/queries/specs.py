"""Part specs and their zone maps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef

from records.domain.practice.facts_of_parts import SpecFacts
from records.models import PartSpec
from records.queries.part_facts import spec_facts
from records.queries.viewer import not_found


@dataclass(frozen=True, slots=True)
class SpecVersion:
    """A version of a spec: when it was entered, and by whom."""

    version: int
    recorded_at: datetime
    recorded_by: str


@dataclass(frozen=True, slots=True)
class SpecPage:
    """A version of a spec with its zone map, and which versions there are, newest first."""

    spec: SpecFacts
    versions: tuple[SpecVersion, ...]


def specs() -> tuple[SpecFacts, ...]:
    """Return the newest version of each spec, by kind and number, in two queries."""
    later = PartSpec.objects.filter(number=OuterRef("number"), version__gt=OuterRef("version"))
    newest = PartSpec.objects.filter(~Exists(later)).order_by("kind", "number")
    return tuple(spec_facts(row) for row in newest.prefetch_related("zones"))


def spec_page(number: str, version: int | None = None) -> SpecPage:
    """Return a version of a spec, the newest unless one is named.

    Errors: NotFound for a number or version that no spec has.
    """
    rows = list(PartSpec.objects.filter(number=number).order_by("-version"))
    wanted = next((row for row in rows if version in (None, row.version)), None)
    if wanted is None:
        raise not_found("part spec", number if version is None else f"{number}, version {version}")
    versions = tuple(SpecVersion(row.version, row.recorded_at, row.recorded_by_id) for row in rows)
    return SpecPage(spec_facts(wanted), versions)

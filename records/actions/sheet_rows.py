"""The rows of a bench sheet against the record: what each names must be there, and fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from records.actions.clock import check_not_ahead
from records.actions.reading import ReadingGiven, grams_of
from records.domain.errors import Code, TarebookError
from records.domain.practice.kinds import Kind, check_place, kind_named
from records.domain.practice.roles import MAY
from records.domain.sheet.bench import Sheet
from records.domain.sheet.refusal import field_of, refuse_all, refused
from records.domain.sheet.row import Row
from records.models import Build, Fitment, Part, Person, RoleGrant, Scale, User

Judge = Callable[[Row], None]


@dataclass(frozen=True, slots=True)
class Known:
    """What the words of a sheet mean here: kinds and parts by serial, people by their name."""

    kinds: Mapping[str, Kind]
    people: Mapping[str, str]
    parts: Mapping[str, Part]
    in_build: frozenset[str]


def known_rows(sheet: Sheet, build: Build, now: datetime) -> Known:
    """Return what a sheet's words mean on this build's record.

    Errors: ManyErrors with every bad row, those that could not be read among them.
    """
    against = _Against(sheet, build, now)
    wrong = [error for row in sheet.rows for error in against.wrong_in(row)]
    refuse_all([*sheet.bad, *wrong])
    standing = against.fitments
    here = frozenset(one for one, fitment in standing.items() if fitment.build_id == build.number)
    return Known(against.kinds, against.people, against.parts, here)


def people_by_name() -> dict[str, str]:
    """Return the shop numbers of people by account name and by the number itself."""
    accounts = User.objects.filter(person__isnull=False).values_list("username", "person_id")
    numbers = Person.objects.values_list("number", flat=True)
    named = {name: str(number) for name, number in accounts}
    return named | {number: number for number in numbers}


def number_of(name: str, people: Mapping[str, str]) -> str | None:
    """Return whom a name means, as it stands or in small letters."""
    return people.get(name) or people.get(name.lower())


class _Against:
    """One look at the record, then row by row without another query."""

    def __init__(self, sheet: Sheet, build: Build, now: datetime) -> None:
        serials = {row.serial for row in sheet.rows}
        self.build = build
        self.now = now
        self.places = tuple(build.cylinders.order_by("place").values_list("place", flat=True))
        self.people = people_by_name()
        weigh = RoleGrant.objects.filter(role__in=MAY["weigh"])
        self.weighers = frozenset(weigh.values_list("person_id", flat=True))
        self.scales = {scale.number: scale for scale in Scale.objects.all()}
        parts = Part.objects.filter(number__in=serials).select_related("spec")
        self.parts = {part.number: part for part in parts}
        # who left since may have weighed; a part taken out stands nowhere
        standing = Fitment.objects.filter(end__isnull=True).select_related("part__spec")
        self.fitments = {one.part_id: one for one in standing.filter(part__in=serials)}
        self.kinds: dict[str, Kind] = {}
        self.held: dict[tuple[str, int | None], str] = {
            (one.part.spec.kind, one.place): one.part_id for one in standing.filter(build=build)
        }

    def wrong_in(self, row: Row) -> Iterator[TarebookError]:
        """Yield an error for each cell that doesn't fit the record."""
        judges: tuple[tuple[str, Judge], ...] = (
            ("part", self._part),
            ("serial", self._elsewhere),
            ("what", self._what),
            ("place", self._place),
            ("reading", self._reading),
            ("scale", self._scale),
            ("operator", self._operator),
            ("measured at", self._moment),
        )
        for column, judge in judges:
            try:
                judge(row)
            except TarebookError as error:
                error.field = field_of(row.number, column)
                yield error

    def _part(self, row: Row) -> None:
        kind = kind_named(row.part)
        on_record = self.parts.get(row.serial)
        if on_record and on_record.spec.kind != kind.key:
            raise refused(f"{on_record.spec.kind}, as {row.serial} is on record", row.part)
        before = self.kinds.setdefault(row.serial, kind)
        if before is not kind:
            raise refused(f"{before.key}, as {row.serial} is further up", row.part)

    def _elsewhere(self, row: Row) -> None:
        standing = self.fitments.get(row.serial)
        if standing and standing.build_id != self.build.number:
            hint = f"it stands in {standing.build_id}; take it out there, or number this one anew"
            raise refused(
                f"a part free for {self.build.number}", row.serial, hint, code=Code.CONFLICT
            )

    def _what(self, row: Row) -> None:
        kind = self.kinds.get(row.serial)
        if kind and kind.key != "rod" and row.what != "whole":
            raise refused(f"whole: a {kind.key} has no ends", row.what)

    def _place(self, row: Row) -> None:
        kind = self.kinds.get(row.serial)
        if kind is None:
            return
        check_place(kind, row.place, self.places)
        standing = self.fitments.get(row.serial)
        if standing and standing.build_id == self.build.number and standing.place != row.place:
            raise refused(
                f"{standing.place or 'none'}, where {row.serial} stands",
                str(row.place or ""),
                "take it out there first",
            )
        holder = self.held.setdefault((kind.key, row.place), row.serial)
        if holder != row.serial:
            where = f"place {row.place}" if row.place else "every place"
            raise refused(f"one {kind.key} for {where}", f"{row.serial} beside {holder}")

    def _reading(self, row: Row) -> None:
        mass = grams_of(ReadingGiven(row.reading, row.unit), "")
        scale = self.scales.get(row.scale)
        if scale and mass > scale.capacity_g:
            carries = f"at most {scale.capacity_g.normalize():f} g, what {scale.number} can carry"
            raise refused(carries, f"{row.text} {row.unit}", code=Code.OUT_OF_RANGE)

    def _scale(self, row: Row) -> None:
        if row.scale not in self.scales:
            raise refused(
                "the number of a scale on record", row.scale, "book it", code=Code.UNKNOWN_NUMBER
            )

    def _operator(self, row: Row) -> None:
        if number_of(row.operator, self.people) not in self.weighers:
            expected = "the account name or number of a technician on record"
            raise refused(expected, row.operator, "book them", code=Code.UNKNOWN_NUMBER)

    def _moment(self, row: Row) -> None:
        check_not_ahead(row.measured_at, self.now, "")

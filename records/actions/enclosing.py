"""The whole weighings that enclose a removal: found, and refused where they can't be true."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Q

from records.domain.errors import Code, Conflict
from records.domain.practice.mass_taken import MassTaken
from records.models import Build, Fitment, Part, Removal, RemovalClose, Weighing


def refuse_gain(removal: Removal, taken: MassTaken) -> None:
    """Refuse a part that rose by more than U; zero, or a little less within U, is a removal."""
    if taken.mass_g >= -taken.U_g:
        return
    raise Conflict(
        Code.CONFLICT,
        f"{removal.part_id} is {-taken.mass_g.normalize():f} g heavier after the cut, more than "
        f"U = {taken.U_g.normalize():f} g of the difference; the weighing is kept: see that it is "
        "the right part, clean, and on the right scale, and weigh it again",
        field="after",
        expected="a mass that fell, or rose within U",
        got=f"{-taken.mass_g.normalize():f} g gained",
    )


def refuse_stranger(part: Part, build: Build) -> None:
    """Refuse a part that never stood in the build."""
    if not Fitment.objects.filter(build=build, part=part).exists():
        raise Conflict(
            Code.CONFLICT, f"{part.number} was never put in {build.number}", field="part"
        )


def refuse_overlap(part: Part, start: datetime, end: datetime, field: str) -> None:
    """Refuse a removal that shares a stretch with another: the mass would count twice."""
    there = RemovalClose.objects.filter(
        removal__part=part,
        removal__correction__isnull=True,
        removal__before__measured_at__lt=end,
        after__measured_at__gt=start,
    ).first()
    if there:
        raise Conflict(
            Code.CONFLICT,
            f"removal {there.removal_id} of {part.number} lies between these weighings already; "
            "name the weighings that enclose this cut alone, or take that removal back and record "
            "both as one, with all their zones",
            field=field,
        )


def refuse_open(part: Part) -> None:
    """Refuse a second removal of a part while one waits for its after-weighing."""
    standing = Removal.objects.filter(part=part, close__isnull=True, correction__isnull=True)
    if there := standing.first():
        raise Conflict(
            Code.CONFLICT,
            f"removal {there.pk} of {part.number} is open; weigh the part and close it first",
            field="part",
        )


def whole_weighing(
    part: Part,
    given: int | None,
    field: str,
    *,
    until: datetime | None = None,
    since: datetime | None = None,
    but: int = 0,
) -> Weighing:
    """Return the whole weighing named, or the newest there is; never a hung or declared one."""
    standing = Weighing.objects.filter(part=part, correction__isnull=True)
    there = standing.filter(what="whole", how="on the pan").exclude(
        Q(purpose="progress") | Q(source="declared") | Q(ahead=True)
    )
    if until:
        there = there.filter(measured_at__lte=until)
    if since:
        there = there.filter(measured_at__gte=since).exclude(pk=but)
    row = (there.filter(pk=given) if given else there.order_by("-measured_at", "-pk")).first()
    if row is None:
        got = f"weighing {given}" if given else "none; weigh it"
        raise Conflict(
            Code.CONFLICT,
            f"expected a whole weighing of {part.number} {field} the cut, got {got}",
            field=field,
        )
    return row

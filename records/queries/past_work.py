"""Who worked on a build by rows that no longer stand: their work was corrected, not undone."""

from __future__ import annotations

from typing import Any, cast

from django.db.models import Exists, OuterRef, Q, QuerySet, Value

from records.domain.practice.separation import ANSWERED, CUT, WEIGHED
from records.models import ChecklistAnswer, Removal, Weighing


def also_worked(build: str) -> dict[str, str]:
    """Return who weighed, cut or answered in this build by rows corrected or superseded since."""
    later = ChecklistAnswer.objects.filter(
        build=OuterRef("build"), question=OuterRef("question"), pk__gt=OuterRef("pk")
    )
    answers = ChecklistAnswer.objects.filter(Exists(later), build=build)
    cuts = Removal.objects.filter(build=build, correction__isnull=False)
    evidence = Q(purpose=Weighing.Purpose.EVIDENCE, scale__isnull=False)
    weighings = Weighing.objects.filter(evidence, build=build, correction__isnull=False)
    every = _named(answers, ANSWERED).union(_named(weighings, WEIGHED), _named(cuts, CUT))
    return dict(every.order_by("did"))


def _named(rows: QuerySet[Any], did: str) -> QuerySet[Any, tuple[str, str]]:
    named = rows.annotate(did=Value(did)).order_by()
    return cast("QuerySet[Any, tuple[str, str]]", named.values_list("operator", "did"))

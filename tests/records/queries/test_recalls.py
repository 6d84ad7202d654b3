"""A recall as it is told, and what it judges: the build as its certificate froze it."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal

import pytest

from records.actions.clock import SetClock
from records.actions.recalls import FoundBy, recall
from records.domain.errors import NotFound
from records.domain.practice.recall_facts import as_of, as_recorded
from records.domain.practice.recall_sides import sides_of
from records.management.demo.found_out import CAUSE, CERTIFICATE
from records.management.demo.numbers import MARTA
from records.models import Recall, Release
from records.queries import recalls
from records.queries.build_facts import card_of, facts_of
from records.queries.recall_windows import touched_builds, window_of
from records.queries.recalls import recall_csv, recall_pdf, recall_told
from tests.records.recall_past import (  # noqa: F401 (fixtures)
    EARLY,
    LATE,
    WHOLLY,
    past_shop,
    recall_and_clock,
)

Made = tuple[Recall, SetClock]


@pytest.mark.parametrize("build", [EARLY, LATE, *WHOLLY])
def test_before_is_what_the_certificate_froze(
    recall_and_clock: Made,  # noqa: F811
    build: str,
) -> None:
    """Every difference, U and verdict reckoned for "before" is the one that was released."""
    release = Release.objects.get(build=build)
    then = as_of(facts_of(build), release.released_at, card_of(build, release.released_at))
    sides = sides_of(as_recorded(then, window_of(recall_and_clock[0])))
    frozen = json.loads(release.facts)
    for judgement in frozen["judgements"]:
        for place in judgement["places"]:
            side = sides[f"{judgement['kind']}/{place['place']}"]
            assert round(side.value_g, 9) == Decimal(place["difference_g"])
            assert side.verdict == place["verdict"]
            if place["U_g"] is not None:
                assert side.U_g == pytest.approx(Decimal(place["U_g"]), abs=Decimal("1e-8"))
    for pin in frozen["bob_weight"]["pins"]:
        assert sides[f"bob weight/{pin['pin']}"].value_g == pytest.approx(
            Decimal(pin["total_g"]), abs=Decimal("1e-8")
        )


def test_the_stream_yields_each_build_once_with_its_weighings(
    recall_and_clock: Made,  # noqa: F811
) -> None:
    found = {touched.build: touched.weighings for touched in touched_builds(recall_and_clock[0])}
    assert found == {**dict.fromkeys(WHOLLY, 12), EARLY: 11, LATE: 31}


def test_the_page_tells_open_cases_first_and_the_worst_of_them(
    recall_and_clock: Made,  # noqa: F811
) -> None:
    told = recall_told(recall_and_clock[0].pk)
    assert told.headline == "Scale S-04 touched 5 builds: 2 flip, 5 still open"
    assert [case.build for case in told.cases] == [EARLY, LATE, *WHOLLY]
    assert told.cases[1].tally == "1 flips, 10 stand with less margin, 13 stand"
    # the daily check with 1 kg: as found 0 g off there
    ((silent,), proofs) = told.silent, told.proofs
    assert (silent.load_g, silent.error_g, proofs) == (Decimal(1000), Decimal(0), ())
    (row,) = recalls.recalls()
    assert (row.builds, row.open, row.flipping) == (5, 5, 2)


def test_one_that_is_not_there_is_not_found(past_shop: SetClock) -> None:  # noqa: F811
    with pytest.raises(NotFound):
        recall_told(1)


def test_before_it_was_followed_it_says_so(past_shop: SetClock) -> None:  # noqa: F811
    row = recall(
        by=MARTA,
        scale="S-04",
        found_by=FoundBy(certificate=CERTIFICATE),
        cause=CAUSE,
        clock=past_shop,
    )
    told = recall_told(row.pk)
    assert told.headline == "What scale S-04 weighed is being followed"
    assert (told.progress.finished, told.open) == (False, 0)
    assert len(recall_csv(row.pk).splitlines()) == 1
    assert recall_pdf(row.pk).startswith(b"%PDF-")


class TestTheReport:
    def test_the_paper_is_a_whole_pdf(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        pdf = recall_pdf(recall_and_clock[0].pk)
        assert pdf.startswith(b"%PDF-") and b"%%EOF" in pdf[-10:]

    def test_the_rows_have_one_line_a_decision(self, recall_and_clock: Made) -> None:  # noqa: F811
        rows = list(csv.DictReader(io.StringIO(recall_csv(recall_and_clock[0].pk))))
        # 2 sets, big ends and whole rods of four twins; those of the V6, and its six pins
        assert len(rows) == 4 * 6 + 24
        flipped = next(r for r in rows if (r["build"], r["outcome"]) == (LATE, "flips"))
        assert (flipped["before"], flipped["after"], flipped["limit g"]) == ("pass", "fail", "1")
        assert Decimal(flipped["after g"]) - Decimal(flipped["before g"]) == pytest.approx(
            Decimal("0.28"), abs=Decimal("0.01")
        )

    @pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1"])
    def test_a_spreadsheet_runs_none_of_what_people_wrote(self, text: str) -> None:
        assert recalls._plain(text) == f"'{text}"

    def test_numbers_stay_numbers(self) -> None:
        assert recalls._plain(Decimal("-0.100")) == "-0.1"
        assert recalls._plain(None) == ""

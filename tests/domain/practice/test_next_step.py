"""What a build's page says at its head, and which deeds should wait."""

from dataclasses import replace
from decimal import Decimal

import pytest

from records.domain.errors import BadValue
from records.domain.practice.facts import BuildFacts, MatchFacts
from records.domain.practice.next_step import NotYet, next_step, why_not_yet
from tests.domain.practice.finished import finished, for_competition
from tests.domain.practice.sample import at, promise, removal
from tests.domain.practice.sample_sheet import cut_to, sheet_build
from tests.domain.practice.test_card import one_pin, with_card

MATCH = MatchFacts(1, ("piston", "pin"), (), at(2, 16), "ines")


def matched(facts: BuildFacts) -> BuildFacts:
    return replace(facts, matches=(MATCH,))


def only(facts: BuildFacts, *whats: str) -> BuildFacts:
    return replace(facts, weighings=tuple(w for w in facts.weighings if w.what in whats))


def step(facts: BuildFacts) -> tuple[str, str]:
    found = next_step(facts)
    return found.key, found.title


class TestTheNextStep:
    def test_what_is_not_booked_in_comes_first(self) -> None:
        facts = sheet_build()
        fewer = replace(facts, fitments=tuple(f for f in facts.fitments if f.part != "RA03"))
        assert step(fewer) == ("book_in", "Eight places, one without a rod")

    def test_then_weighing_kind_by_kind(self) -> None:
        facts = sheet_build()
        six = replace(facts, weighings=facts.weighings[:6])
        assert step(six) == ("weigh", "Eight pistons, two still to weigh")
        assert step(only(facts, "whole")) == ("weigh", "Eight big ends, eight still to weigh")

    def test_one_lock_for_all_is_one(self) -> None:
        facts = sheet_build()
        fewer = replace(facts, weighings=tuple(w for w in facts.weighings if w.part != "LA01"))
        assert step(fewer) == ("weigh", "One pin locks, one still to weigh")

    def test_shells_are_weighed_only_where_a_card_is_needed(self) -> None:
        facts = sheet_build()
        fewer = replace(facts, weighings=tuple(w for w in facts.weighings if w.part != "BA01"))
        assert step(fewer)[1].endswith("one still to weigh")
        assert next_step(finished()).key == "review"

    def test_then_the_rod_length(self) -> None:
        assert next_step(sheet_build(rod_length_mm=None)).key == "rod_length"

    def test_mix_and_match_comes_before_cutting(self) -> None:
        assert next_step(sheet_build()).key == "mix_and_match"
        assert next_step(cut_to(sheet_build(), "PA05", "448.0", at(3))).key == "match_sets"

    def test_then_sets_then_big_ends_then_whole_rods(self) -> None:
        facts = matched(sheet_build())
        assert step(facts) == (
            "match_sets",
            "Eight sets, three still more than 1.0 g over the lightest",
        )
        loose = replace(facts, promise=replace(promise(), set_g=Decimal(9)))
        assert next_step(loose).key == "match_big_ends"
        looser = replace(facts, promise=replace(loose.promise, big_end_g=Decimal(9)))
        assert next_step(looser).key == "match_whole_rods"

    def test_an_open_cut_is_closed_first(self) -> None:
        cut = removal(1, "PA05", (11,), at(3), after=None, mass_g=None, U_g=None)
        facts = replace(sheet_build(), removals=(cut,))
        assert step(facts) == ("close_cut", "One cut open on PA05: weigh to close")

    def test_competition_weighs_its_sets_together(self) -> None:
        race = for_competition()
        assert next_step(race).key == "review"
        assert step(only(race, "whole", "big end")) == (
            "weigh_sets",
            "Four sets, four still to weigh together",
        )

    def test_the_card_is_written_and_written_anew_when_stale(self) -> None:
        loose = promise("9.0")
        assert step(one_pin(promise=loose)) == ("bob_weight_card", "Write the bob weights")
        written = with_card(one_pin(promise=loose))
        assert next_step(written).key == "checklist"
        key, title = step(cut_to(written, "piston-1", "583.5", at(6)))
        assert key == "bob_weight_card"
        assert title.startswith("Write the card anew: piston piston-1 was cut after")

    def test_then_the_checklist_the_inspector_and_the_end(self) -> None:
        facts = finished()
        some = replace(facts, answers=facts.answers[1:])
        assert step(some) == ("checklist", "Safety checklist, one still to answer")
        assert step(facts) == ("review", "Ready for an inspector to review")
        assert step(replace(facts, released=True)) == ("released", "Released")

    def test_what_cannot_be_proven_is_said(self) -> None:
        facts = matched(sheet_build(promise=promise("0.2", "1")))
        assert "can't be proven" in next_step(facts).title


class TestWhyNotYet:
    def test_a_pairing_without_masses_is_refused(self) -> None:
        facts = sheet_build()
        six = replace(facts, weighings=facts.weighings[:6])
        found = why_not_yet(six, "match")
        assert found == NotYet(True, "pin NA01 not weighed yet; weigh it first")
        assert why_not_yet(facts, "match") is None

    def test_a_cut_that_comes_early_is_only_advised_against(self) -> None:
        early = why_not_yet(sheet_build(), "cut piston")
        assert early is not None
        assert not early.refused
        assert early.reason.startswith("mix and match comes first")
        assert why_not_yet(matched(sheet_build()), "cut piston") is None

    def test_small_ends_wait_for_big_ends(self) -> None:
        # job.md 6: whole rods are matched only when the big ends match
        early = why_not_yet(sheet_build(), "cut small end")
        assert early == NotYet(
            False, "big ends first: whole rods are matched when the big ends match"
        )
        assert why_not_yet(sheet_build(), "cut big end") is None
        assert why_not_yet(finished(), "cut small end") is None

    def test_cutting_before_all_are_weighed_may_miss_the_target(self) -> None:
        early = why_not_yet(only(sheet_build(), "whole"), "cut big end")
        assert early is not None
        assert (early.refused, "may change" in early.reason) == (False, True)

    def test_a_card_is_refused_where_none_is_needed_or_something_is_missing(self) -> None:
        no_need = why_not_yet(finished(), "issue card")
        assert no_need is not None
        assert (no_need.refused, no_need.reason[:15]) == (True, "no bob weights:")
        bare = why_not_yet(only(sheet_build(), "whole"), "issue card")
        assert bare is not None
        assert bare.refused
        assert "rod RA01, big end not weighed yet" in bare.reason

    def test_a_card_before_the_match_is_advised_against(self) -> None:
        early = why_not_yet(sheet_build(), "issue card")
        assert early is not None
        assert not early.refused
        assert "makes the card stale" in early.reason
        assert why_not_yet(one_pin(), "issue card") is None

    def test_a_checklist_before_the_last_cut_will_not_count(self) -> None:
        early = why_not_yet(sheet_build(), "answer checklist")
        assert early is not None
        assert "doesn't count" in early.reason
        assert why_not_yet(finished(), "answer checklist") is None

    def test_it_refuses_a_deed_it_does_not_know(self) -> None:
        with pytest.raises(BadValue, match="expected one of match, cut piston"):
            why_not_yet(sheet_build(), "paint it red")

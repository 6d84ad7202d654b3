"""What is done to an engine after its release puts its certificate in doubt, in the same entry."""

from __future__ import annotations

from records.actions.parts import fit_part, take_out_part
from records.models import CertificateState
from tests.records.actions.bench import BUILD, INES, STREAM, Shop, last_entry, tables
from tests.records.actions.cutting import EDGE
from tests.records.actions.test_releases import release


def states() -> list[str]:
    return list(CertificateState.objects.order_by("id").values_list("state", flat=True))


def test_a_cut_after_the_release_puts_the_certificate_in_doubt(finished: Shop) -> None:
    release(finished)
    finished.open_cut(*EDGE)
    assert states() == ["in doubt"]
    assert "certificatestate" in tables(last_entry(STREAM))
    assert "K1 was cut after the release" in CertificateState.objects.get().reason


def test_a_second_cut_says_nothing_new(finished: Shop) -> None:
    release(finished)
    removal = finished.open_cut(*EDGE)
    finished.weigh("K1", "449.9", "449.9")
    finished.close(removal, "not too hot")
    finished.open_cut(*EDGE)
    assert states() == ["in doubt"]


def test_a_cut_before_any_release_doubts_nothing(finished: Shop) -> None:
    finished.open_cut(*EDGE)
    assert states() == []


def test_a_part_put_in_after_the_release_puts_it_in_doubt_but_one_taken_out_does_not(
    finished: Shop,
) -> None:
    release(finished)
    finished.clock.forward(minutes=5)
    take_out_part(by=INES, part="K1", build=BUILD, reason="rebuilt", clock=finished.clock)
    assert states() == []
    fit_part(by=INES, part="K1", build=BUILD, place=1, clock=finished.clock)
    assert states() == ["in doubt"]

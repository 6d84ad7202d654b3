"""Two at once: each deed is done once, and the other is told so."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from django.db import connection

from records.actions.certificates import issue_certificate
from records.actions.people import book_customer
from records.actions.releases import release_build
from records.domain.errors import Code, Conflict, TarebookError
from records.models import Certificate, Customer, OutboxTask, Release
from tests.records.actions.bench import BUILD, MARTA, RUTH, Shop

pytestmark = pytest.mark.django_db(transaction=True)


def _both(work: Callable[[], object]) -> list[BaseException]:
    """Do it in two threads started together; return what went wrong."""
    start = threading.Barrier(2)
    wrong: list[BaseException] = []

    def run() -> None:
        try:
            start.wait(20)
            work()
        except BaseException as error:
            wrong.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not any(thread.is_alive() for thread in threads)
    return wrong


def _codes(wrong: list[BaseException]) -> list[Code]:
    return [error.code for error in wrong if isinstance(error, TarebookError)]


def test_of_two_releases_at_once_one_is_made_and_the_other_is_told(finished: Shop) -> None:
    def release() -> None:
        release_build(by=RUTH, build=BUILD, no_seals_reason="none", clock=finished.clock)

    wrong = _both(release)
    assert _codes(wrong) == [Code.ALREADY_THERE], wrong
    assert Release.objects.count() == 1
    assert OutboxTask.objects.count() == 1


def test_of_two_that_issue_at_once_both_hold_the_same_paper(finished: Shop) -> None:
    row = release_build(by=RUTH, build=BUILD, no_seals_reason="none", clock=finished.clock)
    papers: list[str] = []

    def issue() -> None:
        papers.append(issue_certificate(release=row.pk, clock=finished.clock).pdf_sha256)

    assert _both(issue) == []
    assert papers == [Certificate.objects.get().pdf_sha256] * 2


def test_of_two_bookings_of_a_number_at_once_one_is_made(people: Shop) -> None:
    def book() -> None:
        book_customer(by=MARTA, number="K-09", name="Nils", clock=people.clock)

    wrong = _both(book)
    assert [type(error) for error in wrong] == [Conflict], wrong
    assert Customer.objects.filter(number="K-09").count() == 1

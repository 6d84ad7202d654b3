"""A paper may be asked for while another is printed: the sweep runs beside the requests."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from records.documents.layout.page import Paper
from tests.documents.conftest import rendered
from tests.documents.sample import sample_facts


def test_one_paper_is_printed_at_a_time_and_all_are_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    alone = rendered(sample_facts())
    build = Paper.build
    printing: set[int] = set()
    together: list[int] = []

    def slowly(self: Paper, *given: Any, **named: Any) -> None:
        printing.add(threading.get_ident())
        time.sleep(0.02)  # so that another could begin meanwhile
        together.append(len(printing))
        build(self, *given, **named)
        printing.discard(threading.get_ident())

    monkeypatch.setattr(Paper, "build", slowly)
    with ThreadPoolExecutor(3) as threads:
        papers = list(threads.map(lambda _: rendered(sample_facts()), range(6)))
    assert together == [1] * 6
    assert set(papers) == {alone}

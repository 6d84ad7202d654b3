"""The pages of a recall: who sees what, what a manager begins, how an inspector ends a case."""

from __future__ import annotations

import re
from typing import Any, ClassVar

import pytest
from django.test import Client

from records.actions.clock import SetClock
from records.management.demo.found_out import CAUSE, CERTIFICATE
from records.models import Recall, RecallClearing
from records.models.ledger import Entry
from tests.records.recall_past import (  # noqa: F401 (fixtures)
    EARLY,
    LATE,
    WHOLLY,
    past_shop,
    recall_and_clock,
)

Made = tuple[Recall, SetClock]
PASSWORD = "a long one for tests 26"


def signed_in(name: str) -> Client:
    client = Client()
    assert client.login(username=name, password=PASSWORD)
    return client


def text(answer: Any, status: int = 200) -> str:
    assert answer.status_code == status
    told: str = answer.content.decode()
    return told


class TestWhoSeesIt:
    @pytest.mark.parametrize("name", ["ines", "ruth", "marta"])
    def test_the_shops_own_people(
        self,
        recall_and_clock: Made,  # noqa: F811
        name: str,
    ) -> None:
        page = text(signed_in(name).get(f"/recalls/{recall_and_clock[0].pk}/"))
        assert "Scale S-04 touched 5 builds: 2 flip, 5 still open" in page

    def test_no_customer_and_no_stranger(self, recall_and_clock: Made) -> None:  # noqa: F811
        for path in ("", "1/", "1.pdf", "1.csv"):
            assert signed_in("orla").get(f"/recalls/{path}").status_code == 404
            asked = Client().get(f"/recalls/{path}")
            assert (asked.status_code, asked["Location"][:8]) == (302, "/sign-in")

    def test_one_that_is_not_there(self, recall_and_clock: Made) -> None:  # noqa: F811
        assert signed_in("marta").get("/recalls/99/").status_code == 404


SENT = {"found_by": f"calibration {CERTIFICATE}", "cause": CAUSE, "withdrawn_at": ""}


class TestBeginning:
    def test_a_manager_recalls_from_the_scales_page(self, past_shop: SetClock) -> None:  # noqa: F811
        marta = signed_in("marta")
        assert "/scales/S-04/recall/" in text(marta.get("/scales/S-04/"))
        answer = marta.post("/scales/S-04/recall/", SENT)
        row = Recall.objects.get()
        assert answer.status_code == 302 and answer["Location"] == f"/recalls/{row.pk}/"
        assert "is being followed" in text(marta.get(f"/recalls/{row.pk}/"))

    @pytest.mark.parametrize("name", ["ines", "ruth"])
    def test_nobody_else_does(self, past_shop: SetClock, name: str) -> None:  # noqa: F811
        client = signed_in(name)
        assert "/scales/S-04/recall/" not in text(client.get("/scales/S-04/"))
        before = Entry.objects.count()
        text(client.post("/scales/S-04/recall/", SENT), 403)
        assert (Recall.objects.count(), Entry.objects.count()) == (0, before)

    def test_without_a_cause_it_says_so_at_the_field(
        self,
        past_shop: SetClock,  # noqa: F811
    ) -> None:
        page = text(signed_in("marta").post("/scales/S-04/recall/", SENT | {"cause": ""}), 422)
        assert "expected an entry, got none" in page
        assert not Recall.objects.exists()


class TestACheckWeight:
    SENT: ClassVar = {"weight": "W-500", "heavier_g": "0,3", "cause": "as found it weighs 500.3 g"}

    def test_it_recalls_what_it_had_let_pass(self, past_shop: SetClock) -> None:  # noqa: F811
        page = text(signed_in("marta").post("/recalls/", self.SENT, follow=True))
        assert "W-500 had let S-01 and S-02 pass; recalled." in page
        assert Recall.objects.count() == 2

    def test_only_a_manager_does(self, past_shop: SetClock) -> None:  # noqa: F811
        text(signed_in("ines").post("/recalls/", self.SENT), 403)
        assert not Recall.objects.exists()


class TestEnding:
    def test_an_inspector_clears_what_stands(self, recall_and_clock: Made) -> None:  # noqa: F811
        ruth, path = signed_in("ruth"), f"/recalls/{recall_and_clock[0].pk}/"
        sent = {"deed": "end", "build": WHOLLY[0], "outcome": "cleared", "reason": "one scale"}
        assert ruth.post(path, sent).status_code == 302
        assert RecallClearing.objects.get().case.build_id == WHOLLY[0]
        assert "4 still open" in text(ruth.get(path))

    def test_what_flips_is_refused_where_it_was_tried(
        self,
        recall_and_clock: Made,  # noqa: F811
    ) -> None:
        ruth, path = signed_in("ruth"), f"/recalls/{recall_and_clock[0].pk}/"
        sent = {"deed": "end", "build": LATE, "outcome": "cleared", "reason": "it will do"}
        page = text(ruth.post(path, sent), 409)
        assert "1 of 24 decisions flip or can&#x27;t be told" in page
        assert not RecallClearing.objects.exists()

    def test_only_an_inspector_is_offered_it(self, recall_and_clock: Made) -> None:  # noqa: F811
        path = f"/recalls/{recall_and_clock[0].pk}/"
        assert f"End the case of {EARLY}" in text(signed_in("ruth").get(path))
        assert "End the case of" not in text(signed_in("marta").get(path))


def test_no_page_carries_a_style_or_a_script_of_its_own(recall_and_clock: Made) -> None:  # noqa: F811
    marta = signed_in("marta")
    for path in ("/recalls/", f"/recalls/{recall_and_clock[0].pk}/", "/scales/S-04/recall/"):
        page = text(marta.get(path))
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", page), path


def test_the_report_comes_as_files(recall_and_clock: Made) -> None:  # noqa: F811
    marta, id = signed_in("marta"), recall_and_clock[0].pk
    pdf, rows = marta.get(f"/recalls/{id}.pdf"), marta.get(f"/recalls/{id}.csv")
    assert pdf["Content-Type"] == "application/pdf" and pdf.content.startswith(b"%PDF-")
    assert rows["Content-Type"].startswith("text/csv")
    assert rows["Content-Disposition"] == f'attachment; filename="recall-{id}.csv"'

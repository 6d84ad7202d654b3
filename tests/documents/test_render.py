"""The certificate as paper, before it is signed."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from records.documents.layout.certificate import render_certificate
from records.domain.errors import BadValue, Code
from records.domain.practice.certificate import CertificateFacts
from tests.documents.conftest import rendered
from tests.documents.sample import (
    NAMES,
    VERIFY_URL,
    sample_bytes,
    sample_facts,
    sample_ledger,
)

RENDER_IN_ANOTHER_PROCESS = """
import hashlib
from tests.documents.conftest import rendered
from tests.documents.sample import sample_facts
print(hashlib.sha256(rendered(sample_facts())).hexdigest())
"""


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(BytesIO(pdf))


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in reader(pdf).pages]


def fonts(pdf: bytes) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for page in reader(pdf).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            found[font.get_object()["/BaseFont"]] = font.get_object()
    return found


class TestTheSameFactsGiveTheSameBytes:
    def test_in_one_process(self, unsigned: bytes) -> None:
        assert rendered(sample_facts()) == unsigned

    def test_in_another_process_with_another_hash_seed(self, unsigned: bytes) -> None:
        done = subprocess.run(
            [sys.executable, "-c", RENDER_IN_ANOTHER_PROCESS],
            env=os.environ | {"PYTHONHASHSEED": "4711", "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.strip() == hashlib.sha256(unsigned).hexdigest()

    def test_other_facts_give_other_bytes(self, unsigned: bytes) -> None:
        assert rendered(sample_facts(demo=False)) != unsigned


class TestWhatTheFirstPageSays:
    def first(self, facts: CertificateFacts) -> str:
        return pages(rendered(facts))[0]

    def test_promise_measure_verdict_and_rule(self) -> None:
        text = self.first(sample_facts())
        assert "All eight sets, big ends and whole rods lie within what was promised" in text
        assert "spread of at most 0.5" in text
        assert "guard band r × U, version 2, r = 1" in text
        assert "check code K7M2-Q9XD" in text
        assert "by Ruth (P-03), who did not do the work" in text

    def test_a_conditional_pass_with_its_probability_and_U(self) -> None:
        text = self.first(sample_facts(verdict_at_place_2="conditional pass"))
        assert "conditional pass. Place 2 +0.41 g, U 0.18 g, conformance 83.2 %" in text

    def test_no_conditional_pass_is_named_when_there_is_none(self) -> None:
        assert "conditional pass. Place" not in self.first(sample_facts())

    def test_that_no_second_person_reviewed_the_work(self) -> None:
        facts = sample_facts()
        assert "No second person" not in self.first(facts)
        facts["second_person"] = False
        assert "No second person reviewed the work." in self.first(facts)

    def test_that_the_damper_was_not_seen(self) -> None:
        facts = sample_facts()
        facts["damper"] = {"seen": False, "name": "", "reason": "It is at home.", "rating": None}
        assert "Damper not seen by us. It is at home." in self.first(facts)

    def test_that_it_is_not_for_competition(self) -> None:
        facts = sample_facts()
        facts["build"]["not_for_competition"] = True
        facts["build"]["not_for_competition_reason"] = "The label expired in January."
        assert "Released as not for competition. The label expired" in self.first(facts)

    def test_a_failed_place_takes_the_promise_out_of_the_title(self) -> None:
        text = self.first(sample_facts(verdict_at_place_2="fail"))
        assert "lie within what was promised" not in text
        assert "outside the promise, by concession. Place 2 +0.92 g" in text

    def test_what_it_replaces(self) -> None:
        facts = sample_facts()
        facts["certificate"]["replaces"] = {"number": "26-014", "revision": 1}
        facts["certificate"]["revision"] = 2
        assert "Replaces certificate 26-014, revision 1." in self.first(facts)

    def test_statements_of_sixteen_conditional_passes_all_print(self) -> None:
        facts = sample_facts(16)
        for judgement in facts["judgements"]:
            for place in judgement["places"]:
                if place["U_g"] is not None:
                    place["verdict"], place["conformance_probability"] = "conditional pass", "0.97"
        assert self.first(facts).count("conformance 97.0 %") == 45


class TestEveryPage:
    def test_names_shop_number_revision_and_page_of_pages(self, unsigned: bytes) -> None:
        texts = pages(unsigned)
        for number, text in enumerate(texts, 1):
            assert "Ferrow Lane Balancing" in text
            assert "26-014, revision 1" in text
            assert f"page {number} of {len(texts)}" in text

    def test_says_demo_when_it_is_one(self, unsigned: bytes) -> None:
        assert all("DEMO" in text for text in pages(unsigned))

    def test_does_not_say_demo_when_it_is_none(self) -> None:
        assert not any("DEMO" in text for text in pages(rendered(sample_facts(demo=False))))

    def test_is_A4_unless_Letter_is_asked(self, unsigned: bytes) -> None:
        # ISO 216: 210 mm by 297 mm; Letter is 8.5 in by 11 in
        assert [round(float(x)) for x in reader(unsigned).pages[0].mediabox[2:]] == [595, 842]
        facts = sample_facts()
        raw = sample_bytes(facts)
        letter = render_certificate(
            facts,
            facts_bytes=raw,
            ledger=sample_ledger(raw),
            names=NAMES,
            verify_url=VERIFY_URL,
            paper="Letter",
        )
        assert [float(x) for x in reader(letter).pages[0].mediabox[2:]] == [612, 792]


class TestEvidence:
    def test_every_section_is_printed_and_bookmarked(self, unsigned: bytes) -> None:
        text = " ".join(pages(unsigned))
        titles = [str(entry.title) for entry in reader(unsigned).outline]  # type: ignore[union-attr]
        assert len(titles) == 11
        assert all(title in text for title in titles)

    def test_empty_evidence_is_said_in_words(self) -> None:
        facts = sample_facts()
        facts["removals"], facts["findings"] = [], []
        facts["seals"] = {"fitted": [], "reason": "the owner seals it himself"}
        facts["bob_weight"] |= {"needed": False, "sentence": "Equal pin masses cancel.", "pins": []}
        text = " ".join(pages(rendered(facts)))
        assert "No metal was removed." in text
        assert "No finding was raised." in text
        assert "None fitted: the owner seals it himself" in text
        assert "Equal pin masses cancel." in text

    def test_the_ledger_place_and_both_hashes(self, unsigned: bytes) -> None:
        ledger = sample_ledger(sample_bytes(sample_facts()))
        last = pages(unsigned)[-1]
        assert ledger["hash"] in last
        assert ledger["facts_sha256"] in last
        assert "build/26-014" in last and "number 187" in last

    def test_sixteen_cylinders_are_all_there_and_heads_come_again(self) -> None:
        texts = pages(rendered(sample_facts(16)))
        whole = " ".join(texts)
        assert all(f"RA{place:02}" in whole for place in range(1, 17))
        heads = [text for text in texts if "serial; where marked" in text]
        assert len(heads) >= 2

    def test_it_never_says_that_anything_is_safe(self, unsigned: bytes) -> None:
        text = " ".join(pages(unsigned)).lower()
        assert text.count("safe") == text.count("is safe.") + text.count("safety checklist")
        assert text.count("is safe.") == text.count("never says that an engine or a part is safe.")

    def test_an_erased_name_leaves_the_shop_number(self) -> None:
        facts = sample_facts()
        raw = sample_bytes(facts)
        pdf = render_certificate(
            facts, facts_bytes=raw, ledger=sample_ledger(raw), names={}, verify_url=VERIFY_URL
        )
        text = " ".join(pages(pdf))
        assert "Ruth" not in text and "by P-03" in text


class TestLettering:
    def test_every_font_is_embedded(self) -> None:
        pdf = rendered(sample_facts(), **{"P-01": "Ѡльга Ɓala"})
        found = fonts(pdf)
        assert any("SourceSansPro" in name for name in found)
        assert any("Roboto" in name for name in found)
        for name, font in found.items():
            assert "/FontFile2" in font["/FontDescriptor"], name

    @pytest.mark.parametrize(
        "name",
        [
            "Æsa Þórðardóttir Őrsi Łęcka ǅ ế",
            "Ελένη Παπαδοπούλου",
            "Ἀχιλλεύς",
            "Ольга Щербакова Ґ Ї",
            "Ӂ Ѡ Ӱ",
        ],
    )
    def test_latin_greek_and_cyrillic_print_and_can_be_read_back(self, name: str) -> None:
        # a part of each long name, since a cell may break it over two lines
        text = " ".join(pages(rendered(sample_facts(), **{"P-01": name})))
        assert all(word in text for word in name.split() if "U+" not in word)

    @pytest.mark.parametrize(
        ("name", "code"), [("中", "U+4E2D"), ("😀", "U+1F600"), ("a\u202eb", "U+202E")]
    )
    def test_a_letter_without_a_glyph_is_printed_as_its_code(self, name: str, code: str) -> None:
        assert code in " ".join(pages(rendered(sample_facts(), **{"P-01": name})))

    def test_marks_of_paragraph_markup_are_only_letters(self) -> None:
        name = '<b>&amp;</b><img src="x"/>'
        assert name in " ".join(pages(rendered(sample_facts(), **{"P-01": name})))


class TestTheFile:
    def test_the_attached_facts_are_the_canonical_bytes(self, unsigned: bytes) -> None:
        attached = reader(unsigned).attachments
        assert {name: list(held) for name, held in attached.items()} == {
            "facts.json": [sample_bytes(sample_facts())]
        }

    def test_metadata_and_language(self, unsigned: bytes) -> None:
        paper = reader(unsigned)
        assert paper.metadata is not None
        assert paper.metadata.title == "DEMO Balance certificate 26-014, revision 1"
        assert paper.metadata.author == "Ferrow Lane Balancing"
        assert str(paper.metadata.creation_date) == "2026-03-06 14:32:10+00:00"
        assert paper.trailer["/Root"]["/Lang"] == "en"  # type: ignore[index]


class TestRefusals:
    def render(self, facts: CertificateFacts, raw: bytes, sha256: str | None = None) -> bytes:
        ledger = sample_ledger(raw)
        if sha256:
            ledger["facts_sha256"] = sha256
        return render_certificate(
            facts, facts_bytes=raw, ledger=ledger, names=NAMES, verify_url=VERIFY_URL
        )

    def test_it_refuses_bytes_that_say_something_else(self) -> None:
        with pytest.raises(BadValue, match="say the same"):
            self.render(sample_facts(), sample_bytes(sample_facts(4)))

    def test_it_refuses_a_hash_that_is_not_the_ledgers(self) -> None:
        with pytest.raises(BadValue, match="SHA-256 that the release entry holds"):
            self.render(sample_facts(), sample_bytes(sample_facts()), "0" * 64)

    def test_it_refuses_another_schema(self) -> None:
        facts = sample_facts()
        facts["schema"] = 2
        with pytest.raises(BadValue, match="schema 1, got 2"):
            self.render(facts, sample_bytes(facts))

    def test_a_misshapen_fact_is_our_own_error(self) -> None:
        facts = sample_facts()
        facts["judgements"][0]["places"][0]["after_g"] = "heavy"
        with pytest.raises(BadValue) as refused:
            self.render(facts, sample_bytes(facts))
        assert refused.value.code is Code.NOT_A_NUMBER
        del facts["scales"]  # type: ignore[misc]
        facts["judgements"][0]["places"][0]["after_g"] = "600"
        with pytest.raises(BadValue) as refused:
            self.render(facts, sample_bytes(facts))
        assert refused.value.code is Code.NOT_RENDERED

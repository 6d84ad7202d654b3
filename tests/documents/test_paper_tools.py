"""The paper as others' tools see it: pdfsig, qpdf, pdffonts, pdftotext."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from tests.documents.conftest import Signed, rendered
from tests.documents.sample import sample_facts
from tests.documents.test_sign_and_examine import FLIPS, flipped, with_increment

pytestmark = pytest.mark.paper

VALID, WHOLE = "Signature is Valid", "Total document signed"
MARGIN = 16 / 25.4 * 72  # ours, left and right


def run(*command: str | Path) -> str:
    done = subprocess.run([str(p) for p in command], capture_output=True, text=True, check=False)
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def nss(signed: Signed, tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = f"sql:{tmp_path_factory.mktemp('nss')}"
    run("certutil", "-N", "-d", folder, "--empty-password")
    run(
        "certutil",
        "-A",
        "-d",
        folder,
        "-n",
        "shop",
        "-t",
        "C,C,C",
        "-i",
        signed.ca.root_certificate,
    )
    return folder


def pdfsig(pdf: bytes, nss: str, folder: Path) -> str:
    path = folder / "paper.pdf"
    path.write_bytes(pdf)
    return run("pdfsig", "-nssdir", nss, path)


def accepted(said: str) -> bool:
    # it always exits 0, and calls a painted-over revision valid: both sentences are needed
    return VALID in said and WHOLE in said


def test_pdfsig_finds_it_valid_whole_and_trusted(signed: Signed, nss: str, tmp_path: Path) -> None:
    said = pdfsig(signed.pdf, nss, tmp_path)
    assert accepted(said), said
    assert "Certificate is Trusted" in said
    assert "SHA-256" in said and "ETSI.CAdES.detached" in said


@pytest.mark.parametrize("flip", FLIPS["flips"], ids=lambda flip: flip["name"])
def test_pdfsig_refuses_one_flipped_bit(
    signed: Signed, nss: str, tmp_path: Path, flip: dict[str, float]
) -> None:
    assert not accepted(pdfsig(flipped(signed.pdf, flip["share"]), nss, tmp_path))


def test_pdfsig_refuses_an_appended_revision(signed: Signed, nss: str, tmp_path: Path) -> None:
    assert not accepted(pdfsig(with_increment(signed.pdf), nss, tmp_path))


def test_qpdf_finds_the_structure_sound(signed: Signed, tmp_path: Path) -> None:
    path = tmp_path / "paper.pdf"
    path.write_bytes(signed.pdf)
    said = run("qpdf", "--check", path)
    assert "No syntax or stream encoding errors found" in said
    assert "WARNING" not in said


def test_pdffonts_finds_every_font_embedded(tmp_path: Path) -> None:
    path = tmp_path / "paper.pdf"
    path.write_bytes(rendered(sample_facts(16), **{"P-01": "Ѡльга 中"}))
    rows = run("pdffonts", path).splitlines()[2:]
    assert len(rows) >= 3
    for row in rows:
        assert row.split()[-5:-2] == ["yes", "yes", "yes"], row  # embedded, subset, Unicode


def test_long_names_and_serials_wrap_inside_the_margins(tmp_path: Path) -> None:
    facts = sample_facts(16, demo=False)
    long = "Οικογένεια-Ѱсилон-Überlandwerkstättenbetriebsgesellschaft" * 3
    facts["shop"]["name"] = f"{long} Balancing"
    facts["certificate"]["number"] = "26-014-" + "X" * 23
    facts["build"]["engine"] = "W" * 200
    for part in facts["parts"]:
        part["serial"], part["marking"] = "S" * 60, "etched " * 30
        part["shop_number"] = "K-" + "8" * 28
    facts["findings"][0]["text"] = "i" * 400
    path = tmp_path / "paper.pdf"
    path.write_bytes(rendered(facts, **{"P-03": long}))
    boxes = run("pdftotext", "-bbox", path, "-")
    widths = [float(w) for w in re.findall(r'<page width="([\d.]+)"', boxes)]
    words = re.findall(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)"', boxes)
    assert len(words) > 1000
    for left, top, right in words:
        assert float(left) >= MARGIN - 1
        assert float(right) <= widths[0] - MARGIN + 1
        assert float(top) >= 0
    text = re.sub(r"\s", "", run("pdftotext", "-raw", path, "-"))
    assert text.count("S" * 60) >= 80 or text.count("S") >= 60 * 80  # broken, never clipped

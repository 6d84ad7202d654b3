"""A key of a test authority, and one signed paper, made once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from records.documents.layout.certificate import render_certificate
from records.documents.signing.shop_ca import ShopCa, ensure_shop_ca
from records.documents.signing.shop_key import ShopKey, load_shop_key
from records.documents.signing.sign import sign_pdf
from records.domain.practice.certificate import CertificateFacts
from tests.documents.sample import (
    NAMES,
    VERIFY_URL,
    sample_bytes,
    sample_facts,
    sample_ledger,
)

SIGNED_AT = datetime(2026, 3, 6, 14, 40, tzinfo=UTC)
VALID_FROM = datetime(2026, 1, 1, tzinfo=UTC)


def rendered(facts: CertificateFacts, **more: str) -> bytes:
    raw = sample_bytes(facts)
    names = NAMES | more
    return render_certificate(
        facts, facts_bytes=raw, ledger=sample_ledger(raw), names=names, verify_url=VERIFY_URL
    )


@dataclass(frozen=True)
class Signed:
    """A signed paper, its facts, and who signed it."""

    pdf: bytes
    facts_bytes: bytes
    ca: ShopCa
    key: ShopKey
    roots: tuple[bytes, ...]


def new_ca(folder: Path, *, demo: bool = True) -> ShopCa:
    return ensure_shop_ca(
        folder, shop_name="Ferrow Lane Balancing", demo=demo, valid_from=VALID_FROM
    )


@pytest.fixture(scope="session")
def unsigned() -> bytes:
    return rendered(sample_facts())


@pytest.fixture(scope="session")
def ca(tmp_path_factory: pytest.TempPathFactory) -> ShopCa:
    return new_ca(tmp_path_factory.mktemp("shop") / "keys")


@pytest.fixture(scope="session")
def key(ca: ShopCa) -> ShopKey:
    return load_shop_key(ca.signing_key, ca.passphrase_file)


@pytest.fixture(scope="session")
def signed(unsigned: bytes, ca: ShopCa, key: ShopKey) -> Signed:
    pdf = sign_pdf(
        unsigned, key, reason="release of 26-014", location="Ferrow Lane", signed_at=SIGNED_AT
    )
    return Signed(pdf, sample_bytes(sample_facts()), ca, key, (ca.root_certificate.read_bytes(),))

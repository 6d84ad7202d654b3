"""The shop's own small certificate authority: a root, and the key that signs certificates.

Made once, at first run. Two processes that race end with one authority: each makes its own in a
folder beside, and the rename that comes first wins. Keys are P-256, in PKCS#12 files under a random
passphrase (its MAC is weak against guessing, so a word would not do); files are 0600, the folder
0700.
"""

from __future__ import annotations

import os
import secrets
import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID

from records.domain.errors import BadValue, Code, NotProven

ROOT_YEARS, SIGNING_YEARS = 30, 20
DEMO_WORDS = "demo key, not for use"
_YEAR = timedelta(days=365)


@dataclass(frozen=True)
class ShopCa:
    """Where the files of an authority lie."""

    folder: Path

    @property
    def root_certificate(self) -> Path:
        """The root, PEM, to be handed to whoever checks papers."""
        return self.folder / "root.pem"

    @property
    def signing_key(self) -> Path:
        """PKCS#12 with the signing key, its certificate and the root."""
        return self.folder / "signing.p12"

    @property
    def passphrase_file(self) -> Path:
        """The passphrase of both PKCS#12 files."""
        return self.folder / "passphrase"

    @property
    def root_key(self) -> Path:
        """PKCS#12 with the root's key, needed again only to renew the signing key."""
        return self.folder / "root.p12"


def ensure_shop_ca(folder: Path, *, shop_name: str, demo: bool, valid_from: datetime) -> ShopCa:
    """Return the authority in `folder`, making it when there is none.

    `valid_from` (aware) must not be after the first signature, so the demo gives the start of its
    set clock. Errors: BadValue for a naive moment, NotProven when the folder can't be made or holds
    something else.
    """
    if valid_from.tzinfo is None:
        raise BadValue(Code.BAD_VALUE, "expected a moment with its zone", field="valid_from")
    ca = ShopCa(folder)
    if not ca.signing_key.exists():
        try:
            _make_beside(ca, shop_name, demo, valid_from)
        except OSError as error:
            raise NotProven(
                Code.KEY_UNUSABLE,
                f"expected to make the shop's keys in {folder}, got {error.strerror}",
            ) from error
    _check(ca)
    return ca


def _make_beside(ca: ShopCa, shop_name: str, demo: bool, valid_from: datetime) -> None:
    ca.folder.parent.mkdir(parents=True, exist_ok=True)
    own = ca.folder.with_name(f".{ca.folder.name}-{secrets.token_hex(8)}")
    own.mkdir(mode=0o700)
    try:
        _fill(ShopCa(own), shop_name, demo, valid_from)
        own.rename(ca.folder)  # replaces nothing but an empty folder
        _sync(ca.folder.parent)
    except OSError:
        if not ca.signing_key.exists():
            raise
    finally:  # still there only when another process came first, or on an error
        shutil.rmtree(own, ignore_errors=True)


def _fill(ca: ShopCa, shop_name: str, demo: bool, valid_from: datetime) -> None:
    root_key, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    root_name = _name(shop_name, "certificate root", demo)
    root = _root(root_name, root_key, valid_from)
    leaf = _leaf(_name(shop_name, "certificates", demo), key, root, root_key, valid_from)
    passphrase = secrets.token_urlsafe(32).encode()
    sealed = serialization.BestAvailableEncryption(passphrase)
    files = {
        ca.passphrase_file: passphrase + b"\n",
        ca.root_certificate: root.public_bytes(serialization.Encoding.PEM),
        ca.root_key: pkcs12.serialize_key_and_certificates(b"root", root_key, root, None, sealed),
        ca.signing_key: pkcs12.serialize_key_and_certificates(b"shop", key, leaf, [root], sealed),
    }
    for path, content in files.items():
        _write(path, content)
    _sync(ca.folder)


def _name(shop_name: str, role: str, demo: bool) -> x509.Name:
    # X.520 bounds a common name to 64 characters
    common = f"{DEMO_WORDS}: {shop_name}" if demo else shop_name
    return x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, shop_name[:64]),
            x509.NameAttribute(NameOID.ORGANIZATIONAL_UNIT_NAME, role),
            x509.NameAttribute(NameOID.COMMON_NAME, common[:64]),
        ]
    )


def _root(
    name: x509.Name, key: ec.EllipticCurvePrivateKey, valid_from: datetime
) -> x509.Certificate:
    builder = (
        _builder(name, name, key.public_key(), valid_from, ROOT_YEARS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(certificates=True), critical=True)
    )
    return builder.sign(key, hashes.SHA256())


def _leaf(
    name: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    root: x509.Certificate,
    root_key: ec.EllipticCurvePrivateKey,
    valid_from: datetime,
) -> x509.Certificate:
    builder = (
        _builder(name, root.subject, key.public_key(), valid_from, SIGNING_YEARS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(certificates=False), critical=True)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()),
            critical=False,
        )
    )
    return builder.sign(root_key, hashes.SHA256())


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    public_key: ec.EllipticCurvePublicKey,
    valid_from: datetime,
    years: int,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(public_key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(valid_from)
        .not_valid_after(valid_from + years * _YEAR)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public_key), critical=False)
    )


def _usage(*, certificates: bool) -> x509.KeyUsage:
    """Return what a key may do (RFC 5280, 4.2.1.3); non-repudiation is what PAdES asks for."""
    return x509.KeyUsage(
        digital_signature=not certificates,
        content_commitment=not certificates,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=certificates,
        crl_sign=certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _write(path: Path, content: bytes) -> None:
    held = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(held, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    held = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(held)
    finally:
        os.close(held)


def _check(ca: ShopCa) -> None:
    for path in (ca.root_certificate, ca.passphrase_file, ca.signing_key):
        if not path.is_file():
            raise NotProven(
                Code.KEY_UNUSABLE,
                f"expected {path.name} among the shop's keys in {ca.folder}, got none; put the"
                " folder back from its backup",
            )

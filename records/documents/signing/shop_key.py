"""The key that signs: a PKCS#12 file, opened once in a process and kept parsed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
from cryptography.hazmat.primitives.serialization import Encoding, pkcs12
from cryptography.x509.oid import NameOID
from pyhanko.sign.signers.pdf_cms import Signer
from pyhanko_certvalidator.registry import SimpleCertificateStore

from records.documents.signing.shop_ca import DEMO_WORDS
from records.domain.errors import BadValue, Code, NotFound

LEAST_RSA_BITS = 3072


class ShopKey(Signer):
    """Sign with a private key that stays parsed: pyHanko's own signer parses it every time."""

    def __init__(
        self,
        key: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey,
        certificate: x509.Certificate,
        others: Iterable[x509.Certificate],
    ) -> None:
        store = SimpleCertificateStore()  # type: ignore[no-untyped-call]
        store.register_multiple([_asn1(other) for other in others])
        super().__init__(signing_cert=_asn1(certificate), cert_registry=store)
        self._key = key
        self.certificate = certificate

    @property
    def subject(self) -> str:
        """Whose key it is, as its certificate says."""
        return self.certificate.subject.rfc4514_string()

    @property
    def is_demo(self) -> bool:
        """Whether the key says of itself that it is not for use."""
        names = self.certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
        return any(DEMO_WORDS in str(name.value) for name in names)

    def check_valid_at(self, moment: datetime) -> None:
        """Refuse a moment at which the certificate is not valid."""
        first, last = self.certificate.not_valid_before_utc, self.certificate.not_valid_after_utc
        if not first <= moment.astimezone(UTC) <= last:
            raise BadValue(
                Code.KEY_UNUSABLE,
                f"expected a signing certificate valid on {moment.date()}, got one valid from"
                f" {first.date()} to {last.date()}; renew the shop's key",
            )

    async def async_sign_raw(
        self,
        data: bytes,
        digest_algorithm: str,
        dry_run: bool = False,
    ) -> bytes:
        if digest_algorithm != "sha256":
            raise BadValue(Code.KEY_UNUSABLE, f"expected sha256, got {digest_algorithm}")
        if isinstance(self._key, ec.EllipticCurvePrivateKey):
            return self._key.sign(data, ec.ECDSA(hashes.SHA256()))
        return self._key.sign(data, padding.PKCS1v15(), hashes.SHA256())


def load_shop_key(pkcs12_file: Path, passphrase_file: Path) -> ShopKey:
    """Return the key in a PKCS#12 file, its passphrase being the first line of another file.

    A file is read again only when it has changed. Errors: NotFound when a file can't be read;
    BadValue for a wrong passphrase, for a file that is no PKCS#12, or for a key that is neither
    elliptic-curve nor RSA of 3072 bits and more.
    """
    marks = tuple(_mark(path) for path in (pkcs12_file, passphrase_file))
    return _load(pkcs12_file, passphrase_file, marks)


@lru_cache(maxsize=4)
def _load(pkcs12_file: Path, passphrase_file: Path, _marks: tuple[object, ...]) -> ShopKey:
    passphrase = _read(passphrase_file).partition(b"\n")[0].rstrip(b"\r")
    try:
        key, certificate, others = pkcs12.load_key_and_certificates(_read(pkcs12_file), passphrase)
    except ValueError as error:
        raise _refusal(pkcs12_file, passphrase_file, error) from error
    if certificate is None or not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey):
        raise BadValue(
            Code.KEY_UNUSABLE,
            f"{pkcs12_file.name}: expected an elliptic-curve or RSA key with its certificate,"
            f" got {type(key).__name__}",
        )
    if isinstance(key, rsa.RSAPrivateKey) and key.key_size < LEAST_RSA_BITS:
        raise BadValue(
            Code.KEY_UNUSABLE,
            f"{pkcs12_file.name}: expected RSA of {LEAST_RSA_BITS} bits or more,"
            f" got {key.key_size}",
        )
    return ShopKey(key, certificate, others)


def _refusal(pkcs12_file: Path, passphrase_file: Path, error: ValueError) -> BadValue:
    # cryptography tells a wrong passphrase from a broken file by its sentence alone
    if "password" in str(error).lower():
        return BadValue(
            Code.WRONG_PASSPHRASE,
            f"{pkcs12_file.name}: the passphrase in {passphrase_file.name} does not open it;"
            " expected its first line to be the passphrase that the file was made with",
            field="passphrase_file",
        )
    return BadValue(Code.KEY_UNUSABLE, f"{pkcs12_file.name}: expected a PKCS#12 file, got {error}")


def _mark(path: Path) -> tuple[int, int]:
    try:
        found = path.stat()
    except OSError as error:
        raise _unreadable(path, error) from error
    return found.st_mtime_ns, found.st_ino


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise _unreadable(path, error) from error


def _unreadable(path: Path, error: OSError) -> NotFound:
    return NotFound(Code.KEY_UNUSABLE, f"expected to read {path}, got {error.strerror}")


def _asn1(certificate: x509.Certificate) -> Any:
    return asn1_x509.Certificate.load(certificate.public_bytes(Encoding.DER))

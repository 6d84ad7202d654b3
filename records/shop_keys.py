"""Where the shop's signing key and the roots it trusts lie, as the settings say."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.conf import settings

from records.documents.signing.shop_ca import ShopCa, ensure_shop_ca
from records.documents.signing.shop_key import ShopKey, load_shop_key
from records.domain.errors import Code, NotProven


def shop_signer(*, shop_name: str, demo: bool, valid_from: datetime) -> ShopKey:
    """Return the shop's key: the PKCS#12 that the settings name, else that of its own small CA.

    The CA is made at first use. Errors: NotProven or BadValue when no usable key is there.
    """
    if settings.TAREBOOK_PKCS12:
        return load_shop_key(
            Path(settings.TAREBOOK_PKCS12), Path(settings.TAREBOOK_PKCS12_PASSPHRASE_FILE)
        )
    ca = ensure_shop_ca(_folder(), shop_name=shop_name, demo=demo, valid_from=valid_from)
    return load_shop_key(ca.signing_key, ca.passphrase_file)


def trusted_roots() -> list[bytes]:
    """Return the root certificates (PEM) that a paper of this shop must lead to.

    Errors: NotProven when there is none, since nothing can then be verified.
    """
    root = ShopCa(_folder()).root_certificate
    if settings.TAREBOOK_ROOT:
        root = Path(settings.TAREBOOK_ROOT)
    try:
        return [root.read_bytes()]
    except OSError as error:
        raise NotProven(
            Code.KEY_UNUSABLE,
            f"expected the shop's root certificate at {root}, got {error.strerror}",
        ) from error


def _folder() -> Path:
    return Path(settings.TAREBOOK_KEYS_FOLDER)

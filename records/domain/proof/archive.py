"""The bundle's ZIP: one list of members, one sequence of bytes.

Nothing is compressed, so nothing can swell; what is read must be, byte for byte, what `pack` makes
of it, so nothing can hide before, between or behind the members (APPNOTE 6.3, 4.3.6 to 4.3.16).
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from zlib import crc32

from records.domain.proof.merkle import not_proven

# version needed 2.0, no flags, stored, 1980-01-01 00:00; then CRC, two sizes, the name's length
FIXED = (20, 0, 0, 0, 0x21)


def pack(members: Mapping[str, bytes]) -> bytes:
    """Return the ZIP of members (ASCII names, in the order of their names)."""
    local, central = bytearray(), bytearray()
    for name, body in sorted(members.items()):
        size = len(body)
        header = struct.pack("<5H3I2H", *FIXED, crc32(body), size, size, len(name), 0)
        place = struct.pack("<3H2I", 0, 0, 0, 0, len(local))
        central += b"PK\x01\x02\x14\x00" + header + place + name.encode("ascii")
        local += b"PK\x03\x04" + header + name.encode("ascii") + body
    count = len(members)
    ending = struct.pack("<4s4H2IH", b"PK\x05\x06", 0, 0, count, count, len(central), len(local), 0)
    return bytes(local + central + ending)


def unpack(raw: bytes) -> dict[str, bytes]:
    """Return the members of a ZIP that `pack` could have made, or NotProven."""
    members: dict[str, bytes] = {}
    at = 0
    try:
        while raw[at : at + 4] == b"PK\x03\x04":
            size, name_length = struct.unpack_from("<IH", raw, at + 22)
            start = at + 30 + name_length
            members[raw[at + 30 : start].decode("ascii")] = raw[start : start + size]
            at = start + size
        again = pack(members)
    except (struct.error, UnicodeDecodeError) as error:
        raise not_proven("a ZIP as the format describes it", str(error)) from error
    if again != raw:
        raise not_proven(
            "a ZIP as the format describes it, each name once and nothing beside its members",
            f"{len(raw)} bytes that are not the {len(again)} of its {len(members)} members",
        )
    return members

"""The bundle's ZIP: an ordinary one to others, and one sequence of bytes to us."""

import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import NotProven
from records.domain.proof.archive import pack, unpack

MEMBERS = {"b.txt": b"second", "a.txt": b"", "c/d.txt": b"\x00" * 500}
names = st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=20)


def test_an_independent_reader_finds_the_same() -> None:
    # source: zipfile of the standard library, which checks each CRC
    with zipfile.ZipFile(io.BytesIO(pack(MEMBERS))) as archive:
        assert archive.testzip() is None
        assert archive.namelist() == sorted(MEMBERS)
        assert {name: archive.read(name) for name in archive.namelist()} == MEMBERS


@given(st.dictionaries(names, st.binary(max_size=200), max_size=6))
def test_what_was_packed_unpacks(members: dict[str, bytes]) -> None:
    assert unpack(pack(members)) == members


def test_order_of_giving_changes_nothing() -> None:
    assert pack(dict(reversed(MEMBERS.items()))) == pack(MEMBERS)


@given(st.data())
def test_any_changed_byte_is_refused(data: st.DataObject) -> None:
    raw = bytearray(pack(MEMBERS))
    raw[data.draw(st.integers(0, len(raw) - 1))] ^= data.draw(st.integers(1, 255))
    with pytest.raises(NotProven):
        unpack(bytes(raw))


@given(st.data())
def test_any_cut_and_any_addition_is_refused(data: st.DataObject) -> None:
    raw = pack(MEMBERS)
    place = data.draw(st.integers(0, len(raw)))
    more = data.draw(st.binary(min_size=1, max_size=8))
    for torn in (raw[:place], raw[:place] + more + raw[place:]):
        if torn != raw:
            with pytest.raises(NotProven):
                unpack(torn)


def _zipped(compression: int, names_and_bodies: list[tuple[str, bytes]]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", compression) as archive:
        for name, body in names_and_bodies:
            archive.writestr(name, body)
    return held.getvalue()


def test_a_bomb_is_refused_without_being_blown_up() -> None:
    # 20 MB of zeros in 20 kB; compressed members are not read at all
    bomb = _zipped(zipfile.ZIP_DEFLATED, [("manifest.json", bytes(20_000_000))])
    assert len(bomb) < 30_000
    with pytest.raises(NotProven):
        unpack(bomb)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_names_that_stand_twice_are_refused() -> None:
    with pytest.raises(NotProven):
        unpack(_zipped(zipfile.ZIP_STORED, [("a", b"1"), ("a", b"2")]))
    one = pack({"a": b"1"})
    local = one[: one.index(b"PK\x01\x02")]
    with pytest.raises(NotProven):
        unpack(local + one)


@pytest.mark.parametrize("raw", [b"", b"PK", b"PK\x03\x04", b"PK\x03\x04" + bytes(26), b"%PDF-1.7"])
def test_what_is_no_zip_is_refused(raw: bytes) -> None:
    with pytest.raises(NotProven):
        unpack(raw)


def test_a_name_in_other_letters_is_refused() -> None:
    with pytest.raises(NotProven):
        unpack(pack({"ab": b"1"}).replace(b"ab", "é".encode()))

"""The head of the log in a signed note."""

import json
from pathlib import Path
from typing import Any

import pytest

from records.domain.errors import NotProven
from records.domain.proof.checkpoint import Checkpoint, open_checkpoint, read_checkpoint
from records.domain.proof.note import read_key
from records.domain.proof.note_signing import key_of, sign_note
from tests.domain.proof.small_log import KEY, ORIGIN, PRIVATE, STRANGER

REFUSED = json.loads(
    (Path(__file__).parents[2] / "data/proof/checkpoint_refused.json").read_text("utf-8")
)
HEAD = Checkpoint(ORIGIN, 9, bytes(range(32)))


def test_the_text_of_the_standards_example_is_read_and_written_alike() -> None:
    # source: C2SP tlog-checkpoint, the example
    text = "example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n"
    checkpoint = read_checkpoint(text)
    assert (checkpoint.origin, checkpoint.size) == ("example.com/behind-the-sofa", 20852163)
    assert checkpoint.root.hex().startswith("0ac5186a91863e8e1d90c808014aa89b")
    assert checkpoint.text() == text


@pytest.mark.parametrize("size", [0, 1, 10**18])
def test_what_is_written_reads_back(size: int) -> None:
    checkpoint = Checkpoint(ORIGIN, size, bytes(32), ("a line", "another"))
    assert read_checkpoint(checkpoint.text()) == checkpoint


@pytest.mark.parametrize("case", REFUSED["texts"], ids=lambda case: case["name"])
def test_a_malformed_checkpoint_is_refused(case: dict[str, Any]) -> None:
    with pytest.raises(NotProven):
        read_checkpoint(case["text"])


def test_a_signed_checkpoint_opens_with_the_logs_key() -> None:
    key = read_key(KEY)
    assert open_checkpoint(sign_note(HEAD.text(), ORIGIN, PRIVATE), [key]) == (HEAD, [key])


def test_a_witness_signs_beside_the_log_and_never_instead_of_it() -> None:
    witness = key_of("witness.example", STRANGER)
    by_witness = sign_note(HEAD.text(), "witness.example", STRANGER)
    with pytest.raises(NotProven, match="a signature by the log"):
        open_checkpoint(by_witness, [read_key(KEY), witness])
    both = sign_note(HEAD.text(), ORIGIN, PRIVATE) + by_witness.splitlines()[-1] + b"\n"
    assert open_checkpoint(both, [read_key(KEY), witness])[1] == [read_key(KEY), witness]

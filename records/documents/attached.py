"""What the files inside a certificate are called, by those who put them in and those who look."""

from __future__ import annotations

from dataclasses import dataclass

from records.domain.proof.checkpoint import Checkpoint

FACTS_FILE = "facts.json"
ENTRY_FILE = "release-entry.json"
PROOF_FILE = "release-entry.tlog-proof"
KEY_FILE = "log-key.txt"
# by the order of their names, as a name tree must list them (ISO 32000-1, 7.9.6)
WITNESS_FILES = (KEY_FILE, ENTRY_FILE, PROOF_FILE)


@dataclass(frozen=True, slots=True)
class LedgerWitness:
    """What a paper carries of the ledger, so that it witnesses what the ledger held.

    `entry` is the release's entry, `proof` its tlog-proof with the signed head inside, `head` that
    head read, `key` the log's public key (name+id+base64).
    """

    entry: bytes
    proof: bytes
    index: int
    head: Checkpoint
    key: str

    def files(self) -> dict[str, bytes]:
        """Return the files that go into the paper, by name."""
        return {
            ENTRY_FILE: self.entry,
            PROOF_FILE: self.proof,
            KEY_FILE: f"{self.key}\n".encode(),
        }

"""The tables of the records app that may change. Every other one is insert-only.

Triggers, the verification of the record, and tests read this list; nothing else decides it. A
table belongs here only if losing or rewriting a row of it changes nothing that the shop must be
able to prove: accounts and what hangs on them, contact data (which must be erasable), heads of
streams (they can be reckoned from the entries), work that waits, and its progress.
"""

from __future__ import annotations

CHANGEABLE: frozenset[str] = frozenset(
    {
        "records.user",
        "records.token",
        "records.personcontact",
        "records.customercontact",
        "records.streamhead",
        "records.outboxtask",
        "records.taskprogress",
    }
)

# Insert-only too, but not rows of the record: no entry names them, chains and log hold them.
LEDGER_TABLES: frozenset[str] = frozenset(
    {
        "records.entry",
        "records.entryrow",
        "records.logentry",
        "records.lognode",
        "records.checkpoint",
        "records.checkpointanchor",
    }
)

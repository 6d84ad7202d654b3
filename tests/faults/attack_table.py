"""The tables of attacks in DEVELOPERS.md, made from what the tests prove.

`python -m tests.faults.attack_table` prints them; with `--write` it puts them between the two marks
of the page. A test fails while the page holds others.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import django

BEGINS = "<!-- made by `python -m tests.faults.attack_table --write` -->\n"
ENDS = "<!-- end of what is made -->\n"
PAGE = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


def tables() -> str:
    """Return both tables as Markdown."""
    return "\n".join([*_of_the_ledger(), "", *_of_the_rest(), ""])


def page_with_tables(page: str) -> str:
    """Return the page with the tables between its marks put anew."""
    before, begins, rest = page.partition(BEGINS)
    _, ends, after = rest.partition(ENDS)
    if not begins or not ends:
        raise ValueError(f"expected {BEGINS.strip()} and {ENDS.strip()} in {PAGE.name}")
    return f"{before}{begins}{tables()}{ends}{after}"


def _of_the_ledger() -> Iterator[str]:
    from tests.faults.attacks import ATTACKS, Layer

    yield from _row("an insider with full rights on the database:", *(x.words for x in Layer))
    yield from _row("---", *(":-:" for _ in Layer))
    for number, attack in enumerate(ATTACKS, start=1):
        seen = ("notices" if layer >= attack.noticed_by else "—" for layer in Layer)
        yield from _row(f"{number}. {attack.words}", *seen)
    noticed = (sum(attack.noticed_by <= layer for attack in ATTACKS) for layer in Layer)
    yield from _row(f"noticed, of {len(ATTACKS)}", *map(str, noticed))


def _of_the_rest() -> Iterator[str]:
    from tests.faults.other_attacks import OTHER_ATTACKS

    yield from _row("what is done", "who notices", "by which means")
    yield from _row("---", "---", "---")
    for attack in OTHER_ATTACKS:
        yield from _row(attack.words, attack.who, attack.means)


def _row(*cells: str) -> Iterator[str]:
    yield f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    if "--write" in sys.argv:
        PAGE.write_text(page_with_tables(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    else:
        sys.stdout.write(tables())

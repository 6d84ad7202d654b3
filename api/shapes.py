"""Shapes of answers beyond a query's own: a page of rows, a part of a page's facts, a file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class ListOf:
    """The shape of a page of such rows: `items`, and `next`, the cursor of the page after it."""

    row: type[Any]


@dataclass(frozen=True, slots=True)
class PartOf:
    """The shape of some fields of a facts class, under a name of its own."""

    facts: type[Any]
    name: str
    keys: tuple[str, ...]


class Pdf:
    """The shape of an answer that is a PDF file."""

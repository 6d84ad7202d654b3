"""Shapes of answers beyond a query's own: a page of rows, a part of a page's facts, a file."""

from __future__ import annotations

import functools
import types
import typing
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar


@dataclass(frozen=True, slots=True)
class ListOf:
    """The shape of a page of such rows: `items`, and `next`, the cursor of the page after it."""

    row: type[Any]


class PartOf:
    """The shape of some facts of a class, under a name of its own.

    `paths` names each by where it stands: "card", or "issued=facts.card" under another key.
    """

    def __init__(self, facts: type[Any], name: str, *paths: str) -> None:
        self.facts = facts
        self.name = name
        named = (path.partition("=") for path in paths)
        self.paths = {key: path or key for key, _, path in named}

    def taken_from(self, facts: Any) -> dict[str, Any]:
        """Return what it names of a page's facts."""
        return {
            key: functools.reduce(getattr, path.split("."), facts)
            for key, path in self.paths.items()
        }

    def hints(self) -> dict[str, Any]:
        """Return the type hint of each."""
        return {
            key: functools.reduce(_hint_at, path.split("."), self.facts)
            for key, path in self.paths.items()
        }


class Pdf:
    """The shape of an answer that is a PDF file."""

    media_types: ClassVar[tuple[str, ...]] = ("application/pdf",)


class Attached(Pdf):
    """The shape of an answer that is an attached file."""

    media_types: ClassVar[tuple[str, ...]] = ("application/pdf", "image/jpeg", "image/png")


class Zip(Pdf):
    """The shape of an answer that is a ZIP file."""

    media_types: ClassVar[tuple[str, ...]] = ("application/zip",)


class Csv(Pdf):
    """The shape of an answer that is a file of comma-separated rows."""

    media_types: ClassVar[tuple[str, ...]] = ("text/csv",)


def row_of(query: Callable[..., Any]) -> Any:
    """Return the class of the rows that a query returns, by its type hint."""
    return typing.get_args(result_of(query))[0]


def result_of(query: Callable[..., Any]) -> Any:
    """Return the class of what a query returns, by its type hint; an optional one without None."""
    hint = typing.get_type_hints(query)["return"]
    if typing.get_origin(hint) is types.UnionType:
        return next(one for one in typing.get_args(hint) if one is not type(None))
    return hint


def _hint_at(facts: Any, name: str) -> Any:
    return typing.get_type_hints(facts)[name]

"""A bench sheet as it comes in, and what it brought."""

from __future__ import annotations

from dataclasses import dataclass

from rest_framework import serializers

from api.serializers.base import Given, a_number, exact, words
from records.queries.receipts import Receipt


class SheetGiven(Given):
    """A bench sheet as text, and what it doesn't say itself.

    As text/csv the sheet is the body, and the rest stands in the query.
    """

    sheet = serializers.CharField(max_length=1024 * 1024, trim_whitespace=False)
    open_layout = serializers.CharField(
        max_length=40, required=False, allow_null=True, default=None
    )
    rod_length_mm = exact(4, required=False, allow_null=True, default=None)
    stroke_mm = exact(4, required=False, allow_null=True, default=None)
    engine = words(200)
    customer = a_number(20, required=False, allow_null=True, default=None)
    dry_run = serializers.BooleanField(default=False)


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What a sheet brought; after a dry run nothing of it stands, and there is no receipt."""

    build: str
    dry_run: bool
    new_parts: tuple[str, ...]
    weighings: tuple[int, ...]
    readings: int
    warnings: tuple[str, ...]
    receipt: Receipt | None

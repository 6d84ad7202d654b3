"""Look a value up by a name that the page holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import template

from records.queries.build_page import BuildPage

register = template.Library()


@register.filter
def of(names: Mapping[Any, Any], key: Any) -> Any:
    """Return what a key stands for, or the key itself."""
    return names.get(key, key)


@register.filter
def under(forms: Mapping[Any, Any], key: Any) -> Any:
    """Return what is kept under a key, None where there is nothing."""
    return forms.get(key)


@register.filter
def place(kind: Any, number: int) -> Any:
    """Return what was judged at a place, None where nothing is weighed yet."""
    return next((each for each in kind.places if each.place == number), None)


@register.filter
def zone_of(page: BuildPage, part: str) -> dict[str, str]:
    """Return the names of a part's zones by their keys."""
    return {zone.key: zone.name for zone in page.facts.parts[part].spec.zones}


@register.filter
def in_order(words: Iterable[str]) -> list[str]:
    """Return words in the order of the alphabet."""
    return sorted(words)

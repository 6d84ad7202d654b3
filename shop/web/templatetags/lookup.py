"""Look a value up by a name that the page holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from django import template

if TYPE_CHECKING:
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
def place(kind: KindJudgement, number: int) -> PlaceJudgement | None:
    """Return what was judged at a place, None where nothing is weighed yet."""
    return next((each for each in kind.places if each.place == number), None)

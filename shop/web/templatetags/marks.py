"""State told three ways: a word, a shape, and only then a tint."""

from __future__ import annotations

import secrets
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

# shapes on a ground of 16 by 16; each is told from the others in black and white
SHAPES = {
    "within": '<circle cx="8" cy="8" r="5.5" fill="currentColor"/>',
    "heavy": '<path d="M2 3h12L8 14z" fill="currentColor"/>',
    "light": '<path d="M2 13h12L8 2z" fill="currentColor"/>',
    "empty": '<circle cx="8" cy="8" r="5.5" fill="none" stroke="currentColor" stroke-width="1.6"/>',
    "doubt": (
        '<circle cx="8" cy="8" r="5" fill="none" stroke="currentColor" stroke-width="1.6"/>'
        '<path d="M2.5 13.5l11-11" stroke="currentColor" stroke-width="1.6"/>'
    ),
    "nearly": '<path d="M2.5 3.5h11L8 13z" fill="none" stroke="currentColor" stroke-width="1.6"/>',
    "blocked": '<path d="M2.5 2.5h11v11h-11z" fill="currentColor"/>',
}
TINTS = {
    "within": "fine",
    "heavy": "blocked",
    "light": "quiet",
    "empty": "quiet",
    "doubt": "care",
    "nearly": "care",
    "blocked": "blocked",
}
OF_A_VERDICT = {
    "pass": "within",
    "conditional pass": "doubt",
    "conditional fail": "nearly",
    "fail": "heavy",
}
OF_A_SCALE = {"fit": "within", "due soon": "doubt", "not checked today": "empty"}
OF_A_CERTIFICATE = {
    "stands": "within",
    "genuine": "within",
    "in doubt": "doubt",
    "replaced": "empty",
    "unknown": "empty",
}


OF_A_RECALL = {
    "stands": "within",
    "stands with less margin": "doubt",
    "can't be told": "empty",
    "flips": "heavy",
}


@register.simple_tag
def mark(state: str, words: str = "") -> SafeString:
    """Draw a state's shape with its word beside it."""
    picture = format_html(
        '<svg class="mark" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">{}</svg>',
        mark_safe(SHAPES[state]),  # noqa: S308 (our own shapes, no outside text)
    )
    if not words:
        return format_html('<span class="bare tint-{}">{}</span>', TINTS[state], picture)
    return format_html(
        '<span class="state tint-{}">{}<span>{}</span></span>', TINTS[state], picture, words
    )


@register.simple_tag
def scale_mark(word: str) -> SafeString:
    """Draw a scale's standing."""
    return mark(OF_A_SCALE.get(word, "blocked"), word)


@register.simple_tag
def due_mark(word: str) -> SafeString:
    """Draw how near a certificate is to its end."""
    return mark({"in date": "within", "due soon": "doubt"}.get(word, "blocked"), word)


@register.simple_tag
def certificate_mark(state: str) -> SafeString:
    """Draw a certificate's state."""
    return mark(OF_A_CERTIFICATE.get(state, "blocked"), state or "not released")


@register.simple_tag
def recall_mark(outcome: str) -> SafeString:
    """Draw what became of a decision that was reckoned again."""
    return mark(OF_A_RECALL.get(outcome, "blocked"), outcome)


@register.simple_tag
def once() -> SafeString:
    """Mark this sending of the page, so that a second press does the deed no second time."""
    return format_html('<input type="hidden" name="once" value="{}">', secrets.token_urlsafe(12))


@register.inclusion_tag("web/part/_field.html")
def field(bound: Any) -> dict[str, Any]:
    """Show a field: label, what to type, the error where there is one, the box."""
    return {"field": bound}


@register.inclusion_tag("web/part/_fields.html")
def fields(form: Any) -> dict[str, Any]:
    """Show all fields of a form in their order."""
    return {"form": form}

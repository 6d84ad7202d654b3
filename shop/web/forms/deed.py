"""A form that leads to one deed: it checks shapes, and shows the deed's errors at its fields."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from records.domain.errors import ManyErrors, TarebookError

Choices = list[tuple[str, str]]


WORDS = {
    "required": "expected an entry, got none",
    "invalid_choice": "expected one of those offered, got %(value)s",
}


class DeedForm(forms.Form):
    """What is typed for a deed; `fields_of` says where an action's field stands on the page."""

    fields_of: ClassVar[Mapping[str, str]] = {}
    required_css_class = "required"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)

    def full_clean(self) -> None:
        """Check the shapes; what is wrong is said in the words of the house."""
        for field in self.fields.values():
            for code, words in WORDS.items():
                if code in field.error_messages:
                    field.error_messages[code] = words
        super().full_clean()

    def take(self, error: TarebookError) -> None:
        """Put an action's error, or each of many, at the field it speaks of."""
        for one in error.errors if isinstance(error, ManyErrors) else (error,):
            self.add_error(self._field_of(one.field), one.message)

    def _field_of(self, path: str) -> str | None:
        """Find the field for a path such as readings/0/value: whole, then its beginning."""
        for known in (path, path.split("/", maxsplit=1)[0]):
            name = self.fields_of.get(known, known)
            if name in self.fields:
                return name
        return None


def choices_with_none(choices: Choices, none: str = "") -> Choices:
    """Put an empty choice first, so that nothing is chosen by not looking."""
    return [("", none), *choices]


def plain_choices(words: Any) -> Choices:
    """Make choices of words that say themselves."""
    return [(word, word) for word in words]


class MomentField(forms.DateTimeField):
    """A moment in the shop's time; left empty it is now."""

    def __init__(self, label: str, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        wrong = "expected a day and a time such as 2026-03-06 14:05"
        kwargs.setdefault("error_messages", {"invalid": wrong})
        kwargs.setdefault("help_text", "Leave it empty if it is now; earlier is marked as late.")
        super().__init__(
            label=label,
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            **kwargs,
        )


class DayField(forms.DateField):
    """A day, picked or typed as 2026-03-06."""

    def __init__(self, label: str, **kwargs: Any) -> None:
        super().__init__(
            label=label,
            error_messages={"invalid": "expected a day such as 2026-03-06"},
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            **kwargs,
        )


class FigureField(forms.DecimalField):
    """A decimal number, typed on a number pad; a decimal comma is taken for a point."""

    widget = forms.TextInput

    def __init__(self, label: str, **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"invalid": "expected a number such as 446.8"})
        super().__init__(label=label, **kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    def to_python(self, value: Any) -> Any:
        """Read one number; what has both comma and point is left to be refused."""
        if isinstance(value, str) and "." not in value:
            value = value.replace(",", ".", 1)
        return super().to_python(value)

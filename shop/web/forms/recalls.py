"""Forms of a recall: what found a scale out, and how a build's case ends."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from records.actions.recalls import FoundBy
from shop.web.forms.deed import (
    Choices,
    DeedForm,
    FigureField,
    MomentField,
    choices_with_none,
)

ENDS: Choices = [
    ("cleared", "cleared: every decision stands as reckoned again"),
    ("re-measured", "re-measured: weighed again on a good scale, all of it stands"),
    ("replaced", "replaced: a later revision was released"),
    ("withdrawn", "withdrawn, for good"),
]


class RecallForm(DeedForm):
    """What found the scale out, and why."""

    found_by = forms.ChoiceField(
        label="Found out by", help_text="A calibration as found, or a check that failed."
    )
    cause = forms.CharField(
        label="What was found", max_length=400, widget=forms.Textarea(attrs={"rows": 2})
    )
    withdrawn_at = MomentField(
        label="Out of use since",
        help_text="Left empty: the end of the calibration's day, or the check itself.",
    )

    def __init__(self, *args: Any, causes: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["found_by"].choices = choices_with_none(causes)  # type: ignore[attr-defined]

    @property
    def found(self) -> FoundBy:
        """Return what found it out, as the action takes it."""
        kind, _, which = self.cleaned_data["found_by"].partition(" ")
        return FoundBy(check=int(which)) if kind == "check" else FoundBy(certificate=which)


class WeightForm(DeedForm):
    """A check weight that was found out."""

    weight = forms.ChoiceField(label="Check weight")
    heavier_g = FigureField(
        label="Heavier than it was taken for, g", help_text="Below zero where it is lighter."
    )
    cause = forms.CharField(label="What was found", max_length=400)

    def __init__(self, *args: Any, weights: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["weight"].choices = choices_with_none(weights)  # type: ignore[attr-defined]


class EndForm(DeedForm):
    """How a build's case ends, and why."""

    fields_of: ClassVar = {"build": "outcome"}

    build = forms.CharField(widget=forms.HiddenInput)
    outcome = forms.ChoiceField(label="How it ends", choices=choices_with_none(ENDS))
    reason = forms.CharField(
        label="Reason", max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

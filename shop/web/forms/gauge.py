"""Forms of a gauge study: planned, read turn by turn, corrected, given up."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from records.actions.reading import ReadingGiven
from shop.web.forms.bench import ReadingsField
from shop.web.forms.deed import Choices, DeedForm, FigureField, MomentField

WHAT: Choices = [
    ("whole", "whole parts"),
    ("set", "sets together"),
    ("big end", "big ends, hung"),
    ("small end", "small ends, hung"),
]


class PartsField(forms.CharField):
    """Names of parts as they lie at the bench, one a line."""

    def __init__(self, label: str, **kwargs: Any) -> None:
        box = forms.Textarea(attrs={"rows": 5, "autocomplete": "off", "spellcheck": "false"})
        super().__init__(label=label, widget=box, **kwargs)

    def to_python(self, value: Any) -> Any:
        """Return the lines that aren't empty."""
        return [line.strip() for line in str(value or "").splitlines() if line.strip()]


class PlanStudyForm(DeedForm):
    """A study: which scale, parts, people, how often."""

    number = forms.CharField(label="Study number", max_length=20)
    scale = forms.ChoiceField(label="Scale")
    what = forms.ChoiceField(label="What is weighed", choices=WHAT)
    parts = PartsField(
        label="Parts, one a line",
        help_text="As they are marked at the bench: ten over the whole range of the work is usual.",
    )
    people = forms.MultipleChoiceField(
        label="Who weighs", widget=forms.CheckboxSelectMultiple, help_text="Two or more."
    )
    trials = forms.IntegerField(
        label="Readings of each part by each", initial=3, widget=forms.TextInput
    )
    tolerance_g = FigureField(
        label="Tolerance that it must prove, g",
        required=False,
        help_text="Greatest minus least, as promised for the set.",
    )
    note = forms.CharField(label="Note", max_length=400, required=False)

    def __init__(self, *args: Any, scales: Choices, people: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["scale"].choices = scales  # type: ignore[attr-defined]
        self.fields["people"].choices = people  # type: ignore[attr-defined]
        self.fields["trials"].widget.attrs |= {"inputmode": "numeric", "autocomplete": "off"}


class TurnForm(DeedForm):
    """The reading of the turn at hand; the turn goes along, so that none is read twice."""

    fields_of: ClassVar = {"turn": "reading", "study": "reading"}

    turn = forms.IntegerField(widget=forms.HiddenInput)
    reading = ReadingsField(label="The scale shows", one=True)
    read_at = MomentField(label="Read at")

    def clean_reading(self) -> ReadingGiven:
        """Return the one reading."""
        readings: list[ReadingGiven] = self.cleaned_data["reading"]
        return readings[0]


class CorrectReadingForm(DeedForm):
    """A reading taken back, why, and the right one if it is known."""

    fields_of: ClassVar = {"reading": "reason", "study": "reason"}

    wrong = forms.ChoiceField(label="Which reading")
    reason = forms.CharField(label="Why it is wrong", max_length=400)
    right = ReadingsField(
        label="What it should have been",
        one=True,
        required=False,
        help_text="Left empty, the turn is read again.",
    )

    def __init__(self, *args: Any, readings: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["wrong"].choices = readings  # type: ignore[attr-defined]

    def clean_right(self) -> ReadingGiven | None:
        """Return the right reading, if one was given."""
        readings: list[ReadingGiven] = self.cleaned_data["right"]
        return readings[0] if readings else None


class GiveUpForm(DeedForm):
    """A study given up, and why."""

    fields_of: ClassVar = {"study": "reason"}

    reason = forms.CharField(label="Why it is given up", max_length=400)


class CloseStudyForm(DeedForm):
    """A study closed: nothing is asked, what stands in the way is said."""

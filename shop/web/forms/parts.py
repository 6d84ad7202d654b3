"""Forms for parts: booked in, fitted, taken out, how they came in, and the build's details."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from records.actions.parts import Condition
from records.queries.words import heat_words
from shop.web.forms.deed import (
    Choices,
    DayField,
    DeedForm,
    FigureField,
    MomentField,
    choices_with_none,
    plain_choices,
)

EVERY_PLACE: Choices = [("", "every place, or the engine itself")]
EXCEPTIONS = (1, 2, 3)
DETAILS: Choices = [
    ("rod_length_mm", "rod length, mm"),
    ("stroke_mm", "stroke, mm"),
    ("event_day", "event day, as 2026-03-06"),
    ("crank_in_job", "crank and damper are in the job: yes or no"),
]


def heat_choices() -> Choices:
    """Return every heat that may be told at intake, whatever the metal."""
    words = (*heat_words("steel", at_intake=True), *heat_words("aluminium", at_intake=True))
    return plain_choices(dict.fromkeys(words))


class BookPartForm(DeedForm):
    """A part that is new to the shop."""

    number = forms.CharField(label="Shop number", max_length=40)
    spec = forms.ChoiceField(label="Part spec")
    place = forms.ChoiceField(label="Place", required=False)
    serial = forms.CharField(label="Maker's serial", max_length=80, required=False)
    marking = forms.CharField(
        label="Where and how it is marked",
        max_length=200,
        required=False,
        help_text="Some rods may not be stamped.",
    )

    def __init__(self, *args: Any, specs: Choices, places: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["spec"].choices = choices_with_none(specs)  # type: ignore[attr-defined]
        self.fields["place"].choices = EVERY_PLACE + places  # type: ignore[attr-defined]


class FitPartForm(DeedForm):
    """A part on record, put in a place."""

    part = forms.CharField(label="Shop number of a part on record", max_length=40)
    place = forms.ChoiceField(label="Place", required=False)
    fitted_at = MomentField(label="Fitted at")

    def __init__(self, *args: Any, places: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].choices = EVERY_PLACE + places  # type: ignore[attr-defined]


class TakeOutForm(DeedForm):
    """A part taken from its place, and why."""

    part = forms.ChoiceField(label="Part")
    reason = forms.CharField(label="Why", max_length=400)
    ended_at = MomentField(label="Taken out at")

    def __init__(self, *args: Any, parts: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].choices = choices_with_none(parts)  # type: ignore[attr-defined]


class IntakeForm(DeedForm):
    """What was seen on all parts of a kind as they came in, and on some that differ."""

    kind = forms.ChoiceField(label="All parts of a kind")
    heat = forms.ChoiceField(label="Heat colour seen", choices=heat_choices, initial="none")
    cracks = forms.BooleanField(label="Cracks seen", required=False)
    earlier_cuts = forms.BooleanField(label="Earlier cuts seen", required=False)
    note = forms.CharField(label="Note", max_length=400, required=False)

    def __init__(self, *args: Any, kinds: Choices, parts: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = choices_with_none(kinds)  # type: ignore[attr-defined]
        for n in EXCEPTIONS:
            self._add_exception(n, parts)

    def _add_exception(self, n: int, parts: Choices) -> None:
        self.fields[f"part_{n}"] = forms.ChoiceField(
            label="But this part", choices=choices_with_none(parts), required=False
        )
        self.fields[f"heat_{n}"] = forms.ChoiceField(
            label="Its heat colour", choices=heat_choices(), initial="none", required=False
        )
        self.fields[f"cracks_{n}"] = forms.BooleanField(label="It has cracks", required=False)
        self.fields[f"cuts_{n}"] = forms.BooleanField(label="It was cut before", required=False)

    @property
    def condition(self) -> Condition:
        """Return what holds for all that are not excepted."""
        told = self.cleaned_data
        return Condition(told["heat"], told["cracks"], told["earlier_cuts"], told["note"])

    @property
    def exceptions(self) -> dict[str, Condition]:
        """Return what holds for the parts that differ, by shop number."""
        told = self.cleaned_data
        return {
            told[f"part_{n}"]: Condition(
                told[f"heat_{n}"] or "none", told[f"cracks_{n}"], told[f"cuts_{n}"]
            )
            for n in EXCEPTIONS
            if told[f"part_{n}"]
        }

    @property
    def plain_fields(self) -> list[Any]:
        """Return the fields for all parts."""
        return [self[name] for name in ("kind", "heat", "cracks", "earlier_cuts", "note")]

    @property
    def rows(self) -> list[list[Any]]:
        """Return the fields of each exception."""
        names = ("part", "heat", "cracks", "cuts")
        return [[self[f"{name}_{n}"] for name in names] for n in EXCEPTIONS]


class DetailForm(DeedForm):
    """A detail of the build that is learnt later."""

    fields_of: ClassVar = {key: "value" for key, _ in DETAILS}

    key = forms.ChoiceField(label="What", choices=DETAILS)
    value = forms.CharField(label="Value", max_length=40)
    reason = forms.CharField(
        label="Why",
        max_length=400,
        required=False,
        help_text="Needed when crank and damper are not in the job: the certificate says so.",
    )


class RatingForm(DeedForm):
    """A damper's rating as its label says."""

    part = forms.ChoiceField(label="Damper")
    label = forms.CharField(label="Label", max_length=80)
    body = forms.CharField(label="Who issued it", max_length=120)
    spec = forms.CharField(label="Under which spec", max_length=80)
    expires_on = DayField(label="Valid until")

    def __init__(self, *args: Any, parts: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].choices = parts  # type: ignore[attr-defined]


class RulingForm(DeedForm):
    """An inspector's word on what may still come off a zone."""

    zone = forms.TypedChoiceField(label="Zone", coerce=int)
    remaining_g = FigureField(label="May still come off, g", min_value=Decimal(0))
    reason = forms.CharField(label="Why", max_length=400)

    def __init__(self, *args: Any, zones: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zone"].choices = zones  # type: ignore[attr-defined]

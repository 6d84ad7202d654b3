"""Forms of the bench: a weighing, a cut, a match."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from django import forms

from records.actions.reading import ReadingGiven
from shop.web.bench_order import SEPARATOR, Group
from shop.web.forms.deed import Choices, DeedForm, MomentField, choices_with_none, plain_choices

READING = re.compile(r"(?P<value>[+-]?[0-9][0-9.,]*)\s*(?P<unit>[a-zA-Z]*)")
SPREADS = plain_choices(("all round", "both sides", "one spot"))
HOW: Choices = [
    ("", "as is usual: ends hung, all else on the pan"),
    ("hung", "hung in the fixture"),
    ("by difference", "whole less the other end"),
]
AIMS: Choices = [
    ("metal", "least metal off, all within the promise"),
    ("spread", "least spread before any cut"),
]


class ReadingsField(forms.CharField):
    """Readings as text, one a line, each kept as it was typed."""

    def __init__(self, label: str, *, one: bool = False, **kwargs: Any) -> None:
        self.one = one
        attrs = {"autocomplete": "off", "inputmode": "decimal", "class": "reading"}
        box: forms.Widget = forms.TextInput(attrs=attrs)
        if not one:
            box = forms.Textarea(
                attrs={"autocomplete": "off", "rows": 3, "class": "readings", "spellcheck": "false"}
            )
        super().__init__(label=label, widget=box, **kwargs)

    def to_python(self, value: Any) -> Any:
        """Read each line; what no reading looks like is named with its line."""
        lines = [line.strip() for line in str(value or "").splitlines() if line.strip()]
        return [self._read(number, line) for number, line in enumerate(lines, start=1)]

    def _read(self, number: int, line: str) -> ReadingGiven:
        found = READING.fullmatch(line)
        if not found:
            where = "" if self.one else f"line {number}: "
            raise forms.ValidationError(
                f"{where}expected a reading such as 446.8 or 15.856 oz, got {line[:30]!r}"
            )
        value = found["value"]
        plain = value if "." in value else value.replace(",", ".", 1)
        return ReadingGiven(value=plain, unit=found["unit"] or "g", text=value)


class WeighForm(DeedForm):
    """A weighing: what is on the scale, and what the scale showed."""

    fields_of: ClassVar = {
        "part": "target",
        "place": "target",
        "what": "target",
        "operator": "scale",
    }

    target = forms.ChoiceField(label="On the scale")
    scale = forms.ChoiceField(label="Scale")
    readings = ReadingsField(
        label="Readings, one a line",
        help_text="Grams, or with the unit beside: 15.856 oz. An end is hung anew for each.",
    )
    how = forms.ChoiceField(label="How an end was got", choices=HOW, required=False)
    measured_at = MomentField(label="Weighed at")
    remark = forms.CharField(label="Remark", max_length=400, required=False)

    def __init__(
        self, *args: Any, groups: tuple[Group, ...], scales: Choices, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["target"].choices = [  # type: ignore[attr-defined]
            (group.title, [(target.key, target.words) for target in group.targets])
            for group in groups
        ]
        self.fields["scale"].choices = scales  # type: ignore[attr-defined]

    @property
    def thing(self) -> dict[str, Any]:
        """Return what, and which part or place, as the action takes it."""
        what, which = self.cleaned_data["target"].split(SEPARATOR, 1)
        if what == "set":
            return {"what": what, "place": int(which)}
        return {"what": what, "part": which}


class CorrectWeighingForm(DeedForm):
    """A weighing taken back, and why."""

    reason = forms.CharField(label="Why it is wrong", max_length=400)


class OpenCutForm(DeedForm):
    """A cut as it is made: the zones, the method, how it was spread."""

    fields_of: ClassVar = {"part": "zones", "before": "zones"}

    zones = forms.MultipleChoiceField(label="Where", widget=forms.CheckboxSelectMultiple)
    method = forms.CharField(label="By which method", max_length=40)
    spread = forms.ChoiceField(label="How it was spread", choices=SPREADS, widget=forms.RadioSelect)
    cut_at = MomentField(label="Cut at")
    remark = forms.CharField(label="Remark", max_length=400, required=False)

    def __init__(self, *args: Any, zones: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zones"].choices = zones  # type: ignore[attr-defined]
        self.fields["method"].widget.attrs |= {"list": "methods", "autocomplete": "off"}


class CloseCutForm(DeedForm):
    """The heat that was seen; the mass is worked out from the weighings."""

    fields_of: ClassVar = {"after": "heat"}

    heat = forms.ChoiceField(label="Heat seen at the cut")

    def __init__(self, *args: Any, words: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["heat"].choices = choices_with_none(  # type: ignore[attr-defined]
            plain_choices(words), "look, and say"
        )


class PassForm(DeedForm):
    """A quick reading between passes: progress, never evidence."""

    reading = ReadingsField(label="Quick reading", one=True)

    def clean_reading(self) -> ReadingGiven:
        """Return the one reading."""
        readings: list[ReadingGiven] = self.cleaned_data["reading"]
        return readings[0]


class MatchForm(DeedForm):
    """The aim of mixing and matching."""

    aim = forms.ChoiceField(label="Aim", choices=AIMS, widget=forms.RadioSelect, initial="metal")

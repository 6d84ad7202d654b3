"""Forms that open a build or take in a bench sheet."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from records.actions.builds import Promise
from records.domain.errors import ManyErrors, TarebookError
from shop.web.forms.deed import (
    Choices,
    DayField,
    DeedForm,
    FigureField,
    choices_with_none,
    plain_choices,
)

LAYOUTS: Choices = [
    ("single", "single"),
    ("i2-360", "in-line two, 360°"),
    ("i2-180", "in-line two, 180°"),
    ("i3", "in-line three"),
    ("i4", "in-line four"),
    ("i5", "in-line five"),
    ("i6", "in-line six"),
    ("flat-2", "flat two"),
    ("flat-4", "flat four"),
    ("flat-6", "flat six"),
    ("v2-90", "V2, 90°"),
    ("v6-60", "V6, 60°, six throws"),
    ("v6-90", "V6, 90°, three pins"),
    ("v6-90-split", "V6, 90°, split pins"),
    ("v8-90", "V8, 90°, cross-plane"),
    ("v8-90-flat", "V8, 90°, flat-plane"),
    ("v10-90", "V10, 90°"),
    ("v12-60", "V12, 60°"),
]
USES = plain_choices(("street", "competition"))
BALANCES = plain_choices(("neutral", "external"))
PROMISES: Choices = [
    ("spread", "greatest minus least"),
    ("plus or minus", "plus or minus, from the middle"),
]
MOST_ROWS = 50  # more errors than that are rather one mistake made often
LARGEST_SHEET = 2 * 1024 * 1024


class OpenBuildForm(DeedForm):
    """A build: one engine, and what was promised for it."""

    number = forms.CharField(label="Build number", max_length=30)
    engine = forms.CharField(label="Engine", max_length=200)
    layout = forms.ChoiceField(label="Layout", choices=choices_with_none(LAYOUTS))
    use = forms.ChoiceField(label="Used for", choices=USES, widget=forms.RadioSelect)
    balance = forms.ChoiceField(
        label="Balanced", choices=BALANCES, widget=forms.RadioSelect, initial="neutral"
    )
    customer = forms.CharField(
        label="Customer's number", max_length=20, required=False, help_text="As booked: C-01."
    )
    rod_length_mm = FigureField(
        label="Rod length, centre to centre, mm",
        required=False,
        help_text="No rod end can be judged without it.",
    )
    stroke_mm = FigureField(label="Stroke, mm", required=False)
    event_day = DayField(label="Event day", required=False)
    promised_as = forms.ChoiceField(
        label="Tolerances are promised as",
        choices=PROMISES,
        widget=forms.RadioSelect,
        initial="spread",
        help_text="Left empty, the shop's tolerances for the use hold.",
    )
    set_g = FigureField(label="Sets, g", required=False)
    big_end_g = FigureField(label="Big ends, g", required=False)
    whole_rod_g = FigureField(label="Whole rods, g", required=False)

    @property
    def promise(self) -> Promise:
        """Return what was promised for this build."""
        told = self.cleaned_data
        return Promise(
            set_g=told["set_g"],
            big_end_g=told["big_end_g"],
            whole_rod_g=told["whole_rod_g"],
            promised_as=told["promised_as"],
        )


class SheetForm(DeedForm):
    """A bench sheet, for a build on record or for one that it opens."""

    fields_of: ClassVar = {"open": "layout", "number": "build"}

    sheet = forms.FileField(
        label="Bench sheet",
        help_text="A CSV file, one row a reading. Comma or semicolon between the columns.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv"}),
    )
    build = forms.CharField(label="Build number", max_length=30)
    layout = forms.ChoiceField(
        label="Open it with layout",
        choices=choices_with_none(LAYOUTS, "it is open already"),
        required=False,
    )
    rod_length_mm = FigureField(label="Rod length, mm", required=False)
    stroke_mm = FigureField(label="Stroke, mm", required=False)

    def take(self, error: TarebookError) -> None:
        """Name the row and the column of each error; a long list is cut short."""
        every = error.errors if isinstance(error, ManyErrors) else (error,)
        for one in every[:MOST_ROWS]:
            words = one.field.split("/")
            if words[0] == "rows" and words[1:]:
                where = f"row {words[1]}" + (f", {words[2]}" if words[2:] else "")
                self.add_error("sheet", f"{where}: {one.message}")
            else:
                super().take(one)
        if len(every) > MOST_ROWS:
            self.add_error("sheet", f"and {len(every) - MOST_ROWS} more")

    def clean_sheet(self) -> Any:
        """Refuse a file that no bench sheet would be as large as."""
        sheet = self.cleaned_data["sheet"]
        if sheet.size > LARGEST_SHEET:
            raise forms.ValidationError(
                f"expected at most {LARGEST_SHEET // 1024 // 1024} MB, got {sheet.size} bytes"
            )
        return sheet

"""Forms for scales: booked, calibrated, checked; and for check weights."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from records.actions.certificate_csv import CertificateGiven, certificate_of_csv
from records.actions.scale_checks import Load
from records.actions.scales import PointGiven, Repeatability, Step
from shop.web.forms.bench import ReadingsField
from shop.web.forms.deed import (
    Choices,
    DayField,
    DeedForm,
    FigureField,
    MomentField,
    plain_choices,
)

# weights to put on together, and why, load by load
Advised = Sequence[tuple[Sequence[str], str]]
LOADS = (1, 2, 3)
TABLES = ("as_left", "as_found", "repeatability")
LARGEST_CSV = 64 * 1024
CLASSES = plain_choices(("E1", "E2", "F1", "F2", "M1", "M2", "M3"))


class RowsField(forms.CharField):
    """Rows of numbers, one row a line, so many columns; a decimal comma is taken for a point."""

    def __init__(self, label: str, *, columns: tuple[str, ...], least: int, **kwargs: Any) -> None:
        self.columns, self.least = columns, least
        box = forms.Textarea(attrs={"rows": 3, "autocomplete": "off", "spellcheck": "false"})
        super().__init__(label=label, widget=box, **kwargs)

    def to_python(self, value: Any) -> Any:
        """Read each line; one that doesn't fit is named."""
        lines = [line.split() for line in str(value or "").splitlines() if line.strip()]
        return [self._read(number, words) for number, words in enumerate(lines, start=1)]

    def _read(self, number: int, words: list[str]) -> list[Decimal]:
        wanted = ", ".join(self.columns)
        refused = forms.ValidationError(
            f"line {number}: expected {wanted}, with blanks between; got {' '.join(words)[:40]!r}"
        )
        if not self.least <= len(words) <= len(self.columns):
            raise refused
        try:
            numbers = [Decimal(word.replace(",", ".", 1)) for word in words]
        except ArithmeticError as error:
            raise refused from error
        if not all(figure.is_finite() for figure in numbers):
            raise refused
        return numbers


class BookScaleForm(DeedForm):
    """A scale: what it carries, and the steps it shows."""

    fields_of: ClassVar = {"steps": "step_g"}

    number = forms.CharField(label="Scale number", max_length=20)
    capacity_g = FigureField(label="Capacity, g")
    step_g = FigureField(label="Step in grams")
    step_oz = FigureField(label="Step in ounces", required=False)
    step_grain = FigureField(label="Step in grains", required=False)
    made_on = DayField(label="Made on", required=False)
    note = forms.CharField(label="Note", max_length=400, required=False)

    @property
    def steps(self) -> list[Step]:
        """Return the steps that were given."""
        given = {unit: self.cleaned_data[f"step_{unit}"] for unit in ("g", "oz", "grain")}
        return [Step(unit, step) for unit, step in given.items() if step is not None]


class CheckForm(DeedForm):
    """Check weights put on, and what the scale showed."""

    remark = forms.CharField(label="Remark", max_length=400, required=False)
    measured_at = MomentField(label="Checked at")

    def __init__(self, *args: Any, weights: Choices, advised: Advised = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.guided = min(max(len(advised), 1), len(LOADS))
        for n in LOADS:
            together, why = advised[n - 1] if n <= len(advised) else ((), "")
            self.fields[f"weights_{n}"] = forms.MultipleChoiceField(
                label=f"Load {n}: put on together",
                choices=weights,
                required=n == 1,
                initial=list(together),
                help_text=why,
                widget=forms.CheckboxSelectMultiple,
            )
            self.fields[f"reading_{n}"] = ReadingsField(
                label=f"Load {n}: the scale shows", one=True, required=n == 1
            )

    def clean(self) -> dict[str, Any]:
        """Ask for both, weights and reading, where one of a load is given."""
        told: dict[str, Any] = super().clean() or self.cleaned_data
        for n in LOADS[1:]:
            weights, reading = told.get(f"weights_{n}"), told.get(f"reading_{n}")
            # weights without a reading are advice that was not followed
            if reading and not weights:
                self.add_error(f"weights_{n}", "expected weights and reading, got one of them")
        return told

    def _field_of(self, path: str) -> str | None:
        """Find loads/0/reading/value at the first load's reading."""
        words = path.split("/")
        if words[0] == "loads" and words[1:] and words[1].isdecimal():
            name = "weights" if words[2:3] == ["weights"] else "reading"
            return f"{name}_{self._given()[int(words[1])]}"
        return super()._field_of(path)

    @property
    def loads(self) -> list[Load]:
        """Return the loads that were given."""
        told = self.cleaned_data
        return [Load(told[f"weights_{n}"], told[f"reading_{n}"][0]) for n in self._given()]

    def _given(self) -> list[int]:
        return [n for n in LOADS if self.data.get(f"reading_{n}", "").strip()]

    @property
    def rows(self) -> list[list[Any]]:
        """Return the fields of each load that is advised, the first in any case."""
        return [self._row(n) for n in LOADS[: self.guided]]

    @property
    def more_rows(self) -> list[list[Any]]:
        """Return the fields of further loads."""
        return [self._row(n) for n in LOADS[self.guided :]]

    def _row(self, n: int) -> list[Any]:
        return [self[f"weights_{n}"], self[f"reading_{n}"]]

    @property
    def rest(self) -> list[Any]:
        """Return the other fields."""
        return [self["measured_at"], self["remark"]]


class CalibrationForm(DeedForm):
    """A calibration certificate, as it was found and as it was left."""

    fields_of: ClassVar = {"eccentricity": "eccentricity_load_g"}

    certificate_number = forms.CharField(label="Certificate number", max_length=80)
    laboratory = forms.CharField(label="Laboratory", max_length=200, required=False)
    calibrated_on = DayField(label="Calibrated on")
    due_on = DayField(label="Due on")
    as_left = RowsField(
        label="Points as left: load, error, U, k; grams",
        columns=("load", "error", "U", "k"),
        least=3,
        required=False,
        help_text="One a line, from zero up: 500 0.02 0.06 2. Without k it is 2.",
    )
    as_found = RowsField(
        label="Points as found",
        columns=("load", "error", "U", "k"),
        least=3,
        required=False,
        help_text="Only where the scale was adjusted.",
    )
    repeatability = RowsField(
        label="Repeatability: load, s; grams", columns=("load", "s"), least=2, required=False
    )
    csv = forms.FileField(
        label="Or all three tables as one CSV",
        required=False,
        help_text=(
            "Columns state, load_g, error_g, U_g, k, s_g, each in its own unit if need be "
            "(error_mg); state is as left, as found or repeatability."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv"}),
    )
    repeatability_nu = forms.IntegerField(
        label="Degrees of freedom of s", min_value=1, required=False
    )
    eccentricity_load_g = FigureField(label="Eccentric loading: load, g", required=False)
    eccentricity_diff_g = FigureField(label="Largest difference, g", required=False)

    def clean(self) -> dict[str, Any]:
        """Ask for typed tables or a CSV, and for both figures of the eccentric loading."""
        told: dict[str, Any] = super().clean() or self.cleaned_data
        pair = [told.get("eccentricity_load_g"), told.get("eccentricity_diff_g")]
        if (pair[0] is None) != (pair[1] is None):
            self.add_error("eccentricity_diff_g", "expected load and difference, got one of them")
        typed = [name for name in TABLES if told.get(name)]
        if told.get("csv"):
            for name in typed:
                self.add_error(name, "expected the tables typed or as a CSV, got both")
        elif "as_left" in told and not told["as_left"]:
            self.add_error("as_left", "expected points typed here, or a CSV; got neither")
        return told

    def clean_csv(self) -> bytes | None:
        """Return the bytes of the CSV, refused where it is larger than any certificate's table."""
        sent = self.cleaned_data["csv"]
        if sent is None:
            return None
        if sent.size > LARGEST_CSV:
            raise forms.ValidationError(f"expected at most {LARGEST_CSV} bytes, got {sent.size}")
        return bytes(sent.read())

    @property
    def certificate(self) -> CertificateGiven:
        """Return points and repeatability as the action takes them.

        Errors: those of the CSV.
        """
        told = self.cleaned_data
        if told["csv"]:
            return certificate_of_csv(data=told["csv"])
        return CertificateGiven(
            as_left=[PointGiven(*row) for row in told["as_left"]],
            as_found=[PointGiven(*row) for row in told["as_found"]],
            repeatability=[Repeatability(*row) for row in told["repeatability"]],
        )

    @property
    def eccentricity(self) -> tuple[Decimal, Decimal] | None:
        """Return load and largest difference, None where they were not given."""
        told = self.cleaned_data
        if told["eccentricity_load_g"] is None:
            return None
        return told["eccentricity_load_g"], told["eccentricity_diff_g"]


class CheckWeightForm(DeedForm):
    """A check weight of the shop."""

    fields_of: ClassVar = {"class": "accuracy_class"}

    number = forms.CharField(label="Number", max_length=20)
    nominal_g = FigureField(label="Nominal mass, g")
    accuracy_class = forms.ChoiceField(label="Class", choices=CLASSES, initial="M1")

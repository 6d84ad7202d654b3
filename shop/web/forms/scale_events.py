"""Forms for what happens to a scale, for its certificate's own file, and for check weights."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from shop.web.forms.deed import Choices, DayField, DeedForm, FigureField, MomentField

LARGEST_FILE = 5 * 1024 * 1024
HAPPENED = (
    ("withdrawn", "withdrawn: taken out of use"),
    ("returned to use", "returned to use"),
    ("adjusted", "adjusted: it needs a new calibration"),
    ("repaired", "repaired: it needs a new calibration"),
)


class EventForm(DeedForm):
    """What happened to a scale."""

    kind = forms.ChoiceField(label="What happened", choices=HAPPENED)
    reason = forms.CharField(label="Why, or what was done", max_length=400)
    happened_at = MomentField(label="When")


class CauseForm(DeedForm):
    """Why a check failed; with a passed repeat it makes the scale fit again."""

    fields_of: ClassVar = {"check": "reason", "kind": "reason"}

    reason = forms.CharField(label="What was the cause?", max_length=400)


class FileForm(DeedForm):
    """A photo or PDF of a certificate."""

    calibration = forms.ChoiceField(label="Of which calibration")
    file = forms.FileField(
        label="Photo or PDF",
        help_text="JPEG, PNG or PDF, at most 5 MB. Of a photo only the picture is kept.",
        widget=forms.ClearableFileInput(attrs={"accept": "image/jpeg,image/png,application/pdf"}),
    )

    def __init__(self, *args: Any, calibrations: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["calibration"].choices = calibrations  # type: ignore[attr-defined]

    def clean_file(self) -> Any:
        """Refuse a file that is too large before it is read."""
        sent = self.cleaned_data["file"]
        if sent.size > LARGEST_FILE:
            most = LARGEST_FILE // 1024 // 1024
            raise forms.ValidationError(f"expected at most {most} MB, got {sent.size} bytes")
        return sent


class WeightCertificateForm(DeedForm):
    """A certificate of a check weight."""

    weight = forms.ChoiceField(label="Check weight")
    certificate_number = forms.CharField(label="Certificate number", max_length=80)
    laboratory = forms.CharField(label="Laboratory", max_length=200, required=False)
    calibrated_on = DayField(label="Calibrated on")
    due_on = DayField(label="Due on")
    mass_g = FigureField(label="Conventional mass, g")
    U_g = FigureField(label="U, g")
    k = FigureField(label="k", initial=2)

    def __init__(self, *args: Any, weights: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["weight"].choices = weights  # type: ignore[attr-defined]

"""Forms of the public page: a paper's file, or the number and code printed on it."""

from __future__ import annotations

from typing import Any

from django import forms

from records.queries.public_check import LARGEST_BYTES
from shop.web.forms.deed import DeedForm


class FileForm(DeedForm):
    """A certificate as a file."""

    paper = forms.FileField(
        label="The certificate, as a PDF file",
        help_text=f"At most {LARGEST_BYTES // 1024 // 1024} MB. It is looked at, and not kept.",
        widget=forms.ClearableFileInput(attrs={"accept": ".pdf,application/pdf"}),
    )

    def clean_paper(self) -> Any:
        """Refuse a file larger than any certificate of ours."""
        paper = self.cleaned_data["paper"]
        if paper.size > LARGEST_BYTES:
            raise forms.ValidationError(
                f"expected at most {LARGEST_BYTES // 1024 // 1024} MB, "
                f"got {paper.size / 1024 / 1024:.1f} MB"
            )
        return paper


class CodeForm(DeedForm):
    """What is printed on a certificate."""

    number = forms.CharField(label="Certificate number", max_length=40)
    code = forms.CharField(label="Check code, eight characters", max_length=20)

    def clean_code(self) -> str:
        """Take the code as one writes it down: blanks, dashes and small letters don't matter."""
        return "".join(self.cleaned_data["code"].split()).replace("-", "").upper()

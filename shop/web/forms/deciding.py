"""Forms of the inspector: checklist answers, findings, release, a certificate's state."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from records.actions.releases import Seal
from records.queries.build_page import FindingShown
from shop.web.forms.deed import Choices, DeedForm, choices_with_none, plain_choices

EVIDENCE: dict[str, str] = {
    "hardness": "Hardness test result",
    "crack_test": "Crack test result",
    "confirmed_by": "Who confirmed it",
    "maker_leave": "The maker's leave, and where it is written",
}
DECISIONS: dict[str, str] = {
    "rework": "rework: it is put right and weighed again",
    "scrap": "scrap: the part leaves the engine",
    "concession": "concession: it stays, and the certificate says so",
    "looked at": "looked at, and it may stay",
    "tested": "tested, with the results below",
    "explained": "explained",
}
STATES: Choices = [
    ("in doubt", "in doubt"),
    ("stands", "stands again"),
    ("withdrawn", "withdrawn, for good"),
]


def _once_only() -> forms.TextInput:
    """Return a box that no browser fills in; before a password it would take it for a name."""
    return forms.TextInput(attrs={"autocomplete": "off"})


class AnswerForm(DeedForm):
    """The answer to one question of the checklist."""

    fields_of: ClassVar = {"key": "answer", "question": "answer"}

    question = forms.CharField(widget=forms.HiddenInput)
    answer = forms.ChoiceField(label="Answer", widget=forms.RadioSelect)
    detail = forms.CharField(
        label="Why", max_length=400, required=False, help_text="For any answer but yes."
    )

    def __init__(self, *args: Any, answers: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["answer"].choices = plain_choices(answers)  # type: ignore[attr-defined]


class DisposeForm(DeedForm):
    """What an inspector decides about a finding."""

    fields_of: ClassVar = {f"evidence/{name}": name for name in EVIDENCE}

    key = forms.CharField(widget=forms.HiddenInput)
    decision = forms.ChoiceField(label="Decision")
    reason = forms.CharField(
        label="Reason", max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, finding: FindingShown, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = [(name, DECISIONS.get(name, name)) for name, _ in finding.decisions]
        self.fields["decision"].choices = choices_with_none(words)  # type: ignore[attr-defined]
        self.asked = tuple(dict.fromkeys(e for _, needed in finding.decisions for e in needed))
        for name in self.asked:
            self.fields[name] = forms.CharField(
                label=EVIDENCE.get(name, name.replace("_", " ").capitalize()),
                max_length=400,
                required=False,
            )

    @property
    def evidence(self) -> dict[str, str]:
        """Return what was brought as evidence, by name."""
        return {name: self.cleaned_data[name] for name in self.asked if self.cleaned_data[name]}


class ReleaseForm(DeedForm):
    """What an inspector signs: seals, what was seen, and the password again."""

    seals = forms.CharField(
        label="Engine seals, one a line",
        required=False,
        help_text="The number, then where it sits: 4711 sump bolt.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    no_seals_reason = forms.CharField(
        label="Or why none is fitted", max_length=400, required=False, widget=_once_only()
    )
    seen_conditional = forms.BooleanField(
        label="I have seen the conditional passes named above", required=False
    )
    not_for_competition = forms.BooleanField(label="Release it as not for competition")
    not_for_competition_reason = forms.CharField(
        label="Why not for competition", max_length=400, required=False, widget=_once_only()
    )
    replaces = forms.BooleanField(
        label="This revision replaces the certificate that was issued", required=False
    )
    password = forms.CharField(
        label="Your password, again",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        help_text="With it you sign what is said above.",
    )

    def __init__(
        self, *args: Any, user: Any, competition: bool, conditional: bool, released: bool, **kw: Any
    ) -> None:
        super().__init__(*args, **kw)
        self.user = user
        self.fields["not_for_competition"].required = False
        unasked = {
            "not_for_competition": competition,
            "not_for_competition_reason": competition,
            "seen_conditional": conditional,
            "replaces": released,
        }
        for name, asked in unasked.items():
            if not asked:
                del self.fields[name]

    def clean_password(self) -> str:
        """Refuse a release that the person themselves did not sign."""
        password: str = self.cleaned_data["password"]
        if not self.user.check_password(password):
            raise forms.ValidationError("this is not your password; nothing was released")
        return password

    @property
    def seals_put_on(self) -> list[Seal]:
        """Return the seals: number and place, line by line."""
        lines = [line.split(None, 1) for line in self.cleaned_data["seals"].splitlines()]
        return [Seal(number=line[0], where=line[1] if line[1:] else "") for line in lines if line]


class CertificateStateForm(DeedForm):
    """A certificate put in doubt, withdrawn, or let stand again."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    state = forms.ChoiceField(label="From now on it is", choices=STATES)
    reason = forms.CharField(label="Why", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

"""The addresses of version 1; none ends in a slash."""

from __future__ import annotations

from django.urls import URLPattern, path

from api.views import (
    accounts,
    builds,
    certificates,
    judging,
    parts,
    people,
    public,
    reckon,
    removals,
    rules,
    scales,
    sheets,
    weighings,
)

OFFICE: list[URLPattern] = [
    path("sign-in", accounts.SignIn.as_view()),
    path("sign-out", accounts.SignOut.as_view()),
    path("tokens", accounts.Tokens.as_view()),
    path("tokens/<int:token>", accounts.Token.as_view()),
    path("people", people.People.as_view()),
    path("people/<str:number>/roles", people.PersonRoles.as_view()),
    path("people/<str:number>/role-ends", people.PersonRoleEnds.as_view()),
    path("people/<str:number>/end", people.PersonEnd.as_view()),
    path("customers", people.Customers.as_view()),
]
SHOP: list[URLPattern] = [
    path("scales", scales.Scales.as_view()),
    path("scales/<str:number>", scales.Scale.as_view()),
    path("scales/<str:number>/calibrations", scales.Calibrations.as_view()),
    path("scales/<str:number>/checks", scales.Checks.as_view()),
    path("check-weights", scales.CheckWeights.as_view()),
    path("specs", rules.Specs.as_view()),
    path("specs/<str:number>", rules.Spec.as_view()),
    path("fixtures", rules.Fixtures.as_view()),
    path("tolerance-classes", rules.ToleranceClasses.as_view()),
    path("settings", rules.Settings.as_view()),
    path("balance-rule", rules.BalanceRule.as_view()),
    path("checklist", rules.ChecklistView.as_view()),
]
BUILDS: list[URLPattern] = [
    path("builds", builds.Builds.as_view()),
    path("builds/<str:number>", builds.BuildState.as_view()),
    path("builds/<str:number>/facts", builds.BuildFacts.as_view()),
    path("builds/<str:number>/details", builds.Details.as_view()),
    path("builds/<str:number>/entries", builds.Entries.as_view()),
    path("builds/<str:number>/plan", builds.Plan.as_view()),
    path("builds/<str:number>/parts", parts.PartsOfBuild.as_view()),
    path("builds/<str:number>/fitments", parts.Fitments.as_view()),
    path("builds/<str:number>/fitment-ends", parts.FitmentEnds.as_view()),
    path("builds/<str:number>/intake", parts.Intake.as_view()),
    path("builds/<str:number>/sheets", sheets.Sheets.as_view()),
    path("builds/<str:number>/weighings", weighings.Weighings.as_view()),
    path(
        "builds/<str:number>/weighings/<int:weighing>/corrections",
        weighings.WeighingCorrections.as_view(),
    ),
    path("builds/<str:number>/match-proposal", judging.MatchProposal.as_view()),
    path("builds/<str:number>/matches", judging.Matches.as_view()),
    path("builds/<str:number>/removals", removals.Removals.as_view()),
    path("builds/<str:number>/late-removals", removals.LateRemovals.as_view()),
    path("builds/<str:number>/removals/<int:removal>/passes", removals.Passes.as_view()),
    path("builds/<str:number>/removals/<int:removal>/close", removals.Closes.as_view()),
    path(
        "builds/<str:number>/removals/<int:removal>/corrections",
        removals.RemovalCorrections.as_view(),
    ),
    path("builds/<str:number>/bob-weight-cards", judging.Cards.as_view()),
    path("builds/<str:number>/checklist", judging.Checklist.as_view()),
    path("builds/<str:number>/findings", judging.Findings.as_view()),
    path("builds/<str:number>/dispositions", judging.Dispositions.as_view()),
    path("builds/<str:number>/release", certificates.Releases.as_view()),
]
PARTS: list[URLPattern] = [
    path("parts", parts.Parts.as_view()),
    path("parts/<str:number>", parts.Part.as_view()),
    path("parts/<str:number>/history", parts.PartHistory.as_view()),
    path("parts/<str:number>/ratings", parts.Ratings.as_view()),
    path("parts/<str:number>/rulings", parts.Rulings.as_view()),
]
PAPERS: list[URLPattern] = [
    path("certificates", certificates.Certificates.as_view()),
    path("certificates/<str:number>", certificates.Certificate.as_view()),
    path("certificates/<str:number>/revisions/<int:revision>/pdf", certificates.Paper.as_view()),
    path(
        "certificates/<str:number>/revisions/<int:revision>/states",
        certificates.CertificateStates.as_view(),
    ),
    path("public/certificates", public.PublicByCode.as_view()),
    path("public/certificates/by-sha256/<str:sha256>", public.PublicBySha256.as_view()),
    path("reckon/<str:topic>", reckon.Reckon.as_view()),
]
urlpatterns = [*OFFICE, *SHOP, *BUILDS, *PARTS, *PAPERS]

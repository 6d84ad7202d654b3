"""States of a certificate: a row each, the newest holds; some it keeps for ever."""

from __future__ import annotations

from django.db import models

from records.actions.deed import Act
from records.domain.errors import Code, Conflict
from records.models import Build, CertificateState, Release

FINAL = (CertificateState.State.REPLACED, CertificateState.State.WITHDRAWN)


def put_in_state(act: Act, release: Release, state: str, reason: str) -> CertificateState:
    """Write a certificate's next state; Conflict once it was replaced or withdrawn."""
    if ended := final_state(release):
        raise Conflict(Code.CONFLICT, f"certificate {release} is {ended} for good", field="state")
    return CertificateState.objects.create(release=release, state=state, reason=reason, **act.stamp)


def final_state(release: Release) -> str:
    """Return the state that a certificate keeps for ever, if it is in one: else nothing."""
    newest = _newest(release)
    return newest.state if newest and newest.state in FINAL else ""


def doubted(act: Act, build: Build, why: str) -> list[models.Model]:
    """Put a build's certificate in doubt, if it has one that stands; the caller enters the row.

    What a certificate says was true when it was released; a later cut or exchange in the engine
    that it speaks of must not hide behind it.
    """
    release = Release.objects.filter(build=build).order_by("-revision").first()
    if release is None:
        return []
    newest = _newest(release)
    if newest and newest.state != CertificateState.State.STANDS:
        return []
    return [put_in_state(act, release, CertificateState.State.IN_DOUBT, why)]


def _newest(release: Release) -> CertificateState | None:
    return CertificateState.objects.filter(release=release).order_by("-pk").first()

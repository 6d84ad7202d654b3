"""The bundle of a build: its record with the proofs, to be checked without this server."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from rest_framework.request import Request

from api.authentication import viewer
from api.shapes import Zip
from api.views.base import Looking, OfABuild
from records.actions.bundles import hand_out_bundle


class Bundle(OfABuild, Looking):
    """A build's bundle."""

    shows = Zip

    def get(self, request: Request, **named: Any) -> HttpResponse:  # type: ignore[override]
        name = "".join(c if c.isalnum() else "-" for c in named["number"])
        return HttpResponse(
            self.look(request, **named),
            content_type=Zip.media_types[0],
            headers={"Content-Disposition": f'attachment; filename="{name}.zip"'},
        )

    def look(self, request: Request, **named: Any) -> bytes:
        """Hand out one ZIP: entries, proofs, checkpoints, certificates, and the log's keys.

        `python -m records.domain.proof FILE` verifies it without this server.
        """
        return hand_out_bundle(build=named["number"], viewer=viewer(request))

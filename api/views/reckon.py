"""What-ifs: the same sums as `manage.py reckon`, recording nothing."""

from __future__ import annotations

from typing import Any

from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.answers import plain
from api.authentication import RECKON
from records.domain.reckon.topics import TOPICS, reckon


class Reckon(APIView):
    """Sums that record nothing."""

    scopes = RECKON
    status = 200
    takes = {"application/json": {"type": "object", "additionalProperties": True}}  # noqa: RUF012
    gives = {"type": "object", "additionalProperties": True}  # noqa: RUF012
    topics = tuple(sorted(TOPICS))

    def post(self, request: Request, **named: Any) -> Response:
        return Response(plain(self.record(request, **named)))

    def record(self, request: Request, **named: Any) -> dict[str, object]:
        """Reckon a topic: the JSON object that `manage.py reckon TOPIC` takes and gives."""
        if not isinstance(request.data, dict):
            raise ValidationError("expected an object")
        return reckon(named["topic"], request.data)

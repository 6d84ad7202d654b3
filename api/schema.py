"""The OpenAPI description of the front, read off what each view declares.

A view names what it shows (GET), takes and gives (POST) as classes; facts of the queries and
answers to deeds are dataclasses, whose type hints become components. Problems are declared for
application/problem+json on every operation.
"""

from __future__ import annotations

import inspect
from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

from api.errors import CONTENT_TYPE
from api.idempotency import LONGEST
from api.paging import MOST, USUAL
from api.schema_types import FactsExtension  # noqa: F401 (registers itself)
from api.serializers.problems import Problem
from api.shapes import ListOf, Pdf, Zip

KEY = OpenApiParameter(
    "Idempotency-Key",
    str,
    OpenApiParameter.HEADER,
    required=True,
    description=f"1 to {LONGEST} characters, new for each deed; the same again repeats the answer.",
)
PAGE = [
    OpenApiParameter("limit", int, description=f"Rows on a page, 1 to {MOST}; usual {USUAL}."),
    OpenApiParameter("cursor", str, description="The `next` of the page before."),
]
BESIDE = "Only beside a text/csv body; in JSON it stands in the body."
FILES: tuple[Any, ...] = (Pdf, Zip)
BODY_PROBLEMS = ("400", "409", "413", "415", "422")


class TokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """Describe the bearer token."""

    target_class = "api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, Any]:
        return {"type": "http", "scheme": "bearer", "description": "A token of POST /sign-in."}


class Schema(AutoSchema):
    """Read an operation off its view: `shows`, `takes`, `gives`, `asks`, and docstrings."""

    view: Any

    def get_operation_id(self) -> str:
        words = self.path.removeprefix("/api/v1/").replace("{", "by_").replace("}", "")
        return (
            f"{self.method.lower()}_{words}".replace("/", "_").replace("-", "_").replace(".", "_")
        )

    def get_summary(self) -> str | None:
        return self._told().split("\n", maxsplit=1)[0].rstrip(".") or None

    def get_description(self) -> str:  # type: ignore[override]
        return self._told()

    def get_tags(self) -> list[str]:
        return [self.path.removeprefix("/api/v1/").split("/")[0]]

    def get_request_serializer(self) -> Any:
        if self.method != "POST":
            return None
        if files := getattr(self.view, "takes_only", None):
            return files
        also = getattr(self.view, "also_takes", None)
        return {"application/json": self.view.takes, **also} if also else self.view.takes

    def get_response_serializers(self) -> Any:
        if self.method == "DELETE":
            return {"204": None}
        if self.method == "GET":
            return {"200": self._shape(self.view.shows)}
        return {str(getattr(self.view, "status", 201)): self._shape(self.view.gives)}

    def get_override_parameters(self) -> list[Any]:
        if self.method == "POST" and getattr(self.view, "once", False):
            beside = getattr(self.view, "beside", ())
            return [KEY, *(OpenApiParameter(name, str, description=BESIDE) for name in beside)]
        if self.method != "GET":
            return []
        asked = [OpenApiParameter(**one) for one in getattr(self.view, "asks", [])]
        return [*asked, *(PAGE if isinstance(self.view.shows, ListOf) else [])]

    def _told(self) -> str:
        name = {"GET": "look", "POST": "record", "DELETE": "end"}[self.method]
        return inspect.cleandoc(inspect.getdoc(getattr(self.view, name, None)) or "")

    def _shape(self, shape: Any) -> Any:
        if _is_file(shape):
            return {"type": "string", "contentMediaType": shape.media_types[0]}
        return shape

    def _is_list_view(self, serializer: Any = None) -> bool:
        return False

    def _get_response_bodies(self, direction: Any = "response") -> dict[str, Any]:
        bodies = super()._get_response_bodies(direction)
        described: Any = self._get_response_for_code
        for code in self._problem_codes():
            bodies[code] = described(Problem, code, [CONTENT_TYPE], direction)
            bodies[code]["description"] = "A problem (RFC 9457)"
        return bodies

    def _problem_codes(self) -> list[str]:
        signed_in = [] if getattr(self.view, "open_to_all", False) else ["401", "403"]
        named = ["404"] if "{" in self.path else []
        body = [*BODY_PROBLEMS] if self.method == "POST" else ["422"]
        throttled = ["429"] if getattr(self.view, "throttle_scope", None) else []
        return sorted([*signed_in, *named, *body, *throttled])

    def map_renderers(self, attribute: str) -> list[Any]:
        shown: Any = getattr(self.view, "shows", None)
        if self.method == "GET" and _is_file(shown):
            return list(shown.media_types)
        return super().map_renderers(attribute)


def _is_file(shape: Any) -> bool:
    return isinstance(shape, type) and issubclass(shape, Pdf)

"""What the views have in common: a look is a query shown, a deed is one action done once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.http import Http404
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer
from rest_framework.views import APIView

from api.answers import Recorded, plain, recorded
from api.authentication import RECORD, OfTheShop, Scoped, person, viewer
from api.idempotency import done_once
from api.paging import page_of
from api.parsers import unwritable
from api.shapes import ListOf, PartOf
from records.domain.errors import BadValue, Code
from records.queries.viewer import check_build_is_theirs, not_found


class Front(APIView):
    """An address of the front; text that no table could hold is refused before it is looked up."""

    def initial(self, request: Request, *args: Any, **named: Any) -> None:
        super().initial(request, *args, **named)
        for name, value in named.items():
            if unwritable(str(value)):
                raise not_found(name, "text with NUL")
        for name, value in request.query_params.items():
            if unwritable(f"{name}{value}"):
                raise BadValue(Code.BAD_VALUE, "expected text, got NUL", field="query")


class Looking(Front):
    """GET: what `look` returns, as JSON; a page of it where `shows` is a list."""

    shows: ClassVar[Any]

    def get(self, request: Request, **named: Any) -> Response:
        return Response(plain(self.shown(request, named)))

    def shown(self, request: Request, named: dict[str, Any]) -> Any:
        found = self.look(request, **named)
        if isinstance(self.shows, ListOf):
            return page_of(request, found, self.key_of)
        if isinstance(self.shows, PartOf):
            return self.shows.taken_from(found)
        return found

    def look(self, request: Request, **named: Any) -> Any:
        raise NotImplementedError

    def key_of(self, row: Any) -> object:
        """Return what tells a row of the list from the others."""
        return row.number


class Recording(Front):
    """POST: check the shape, do one deed once per Idempotency-Key, answer with its receipt."""

    once: ClassVar[bool] = True
    status: ClassVar[int] = 201
    scopes: ClassVar[frozenset[str]] = RECORD
    takes: ClassVar[type[Serializer[Any]]]
    gives: ClassVar[type[Recorded]] = Recorded

    def post(self, request: Request, **named: Any) -> Response:
        request.data  # noqa: B018 (what can't be read is said before a key is taken)
        self.check_before(request, **named)
        return done_once(request, lambda: (self.status, self._done(request, named)))

    def check_before(self, request: Request, **named: Any) -> None:
        """Check what must hold even for the answer to a request that was sent before."""

    def record(self, by: str, given: dict[str, Any], **named: Any) -> Any:
        """Call the one action and return its row."""
        raise NotImplementedError

    def answer(self, row: Any) -> Recorded:
        """Return the answer to the deed that recorded this row."""
        return recorded(row, self.gives)

    def _done(self, request: Request, named: Mapping[str, Any]) -> dict[str, Any]:
        row = self.record(person(request), checked(self.takes, request.data), **named)
        answer: dict[str, Any] = plain(self.answer(row))
        return answer


class Telling(Front):
    """POST that records nothing on the record: `tell` returns the answer, no key is asked."""

    status: ClassVar[int] = 200
    takes: ClassVar[type[Serializer[Any]]]
    gives: ClassVar[Any]

    def post(self, request: Request, **named: Any) -> Response:
        given = checked(self.takes, request.data)
        return Response(plain(self.record(request, given, **named)), status=self.status)

    def record(self, request: Request, given: dict[str, Any], **named: Any) -> Any:
        raise NotImplementedError


class NotThere(Front):
    """Whatever is asked for where no address is."""

    permission_classes = (AllowAny,)
    schema = None

    def initial(self, request: Request, *args: Any, **named: Any) -> None:
        raise Http404


class ForTheShop(Front):
    """An address below which a customer has no business."""

    permission_classes = (Scoped, OfTheShop)


class OfABuild(Front):
    """An address below a build: one that isn't there or isn't yours is answered 404 first."""

    def initial(self, request: Request, *args: Any, **named: Any) -> None:
        super().initial(request, *args, **named)
        check_build_is_theirs(named["number"], viewer(request))


def checked(shape: type[Serializer[Any]], data: Any) -> dict[str, Any]:
    """Return what came as plain values, or refuse it with a pointer to each wrong one."""
    taken = shape(data=data)
    taken.is_valid(raise_exception=True)
    values: dict[str, Any] = taken.validated_data
    return values

"""How a page is asked for and answered: who looks, in the shop's own time, errors as pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast
from zoneinfo import ZoneInfo

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from records.domain.errors import NotAllowed, NotFound
from records.queries.people import viewer_of_user
from records.queries.shop import shop_now
from records.queries.viewer import NOBODY, Viewer

P = ParamSpec("P")


class Asked(HttpRequest):
    """A request whose sender is known.

    `person` is the shop number of who acts; empty for a customer, whom every deed refuses.
    """

    viewer: Viewer
    person: str


View = Callable[Concatenate[Asked, P], HttpResponse]
Answer = Callable[Concatenate[HttpRequest, P], HttpResponse]


def page(view: View[P]) -> Answer[P]:
    """Let a view know who looks and show times in the shop's zone; what isn't theirs is a 404."""

    @wraps(view)
    def answer(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        asked = cast(Asked, request)
        asked.viewer = _who(request)
        asked.person = asked.viewer.person or ""
        shop = shop_now()
        with timezone.override(ZoneInfo(shop.timezone if shop else "UTC")):
            try:
                return view(asked, *args, **kwargs)
            except NotFound as error:
                raise Http404(error.message) from error
            except NotAllowed as error:
                raise PermissionDenied(error.message) from error

    return cast("Answer[P]", answer)


def of_the_shop(view: View[P]) -> Answer[P]:
    """Show a page to the shop's own people; for anyone else there is no such page."""

    @wraps(view)
    def answer(request: Asked, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        if not request.viewer.of_the_shop:
            raise Http404("there is nothing at this address")
        return view(request, *args, **kwargs)

    return page(cast("View[P]", answer))


def shown(
    request: HttpRequest, template: str, context: Mapping[str, Any], status: int = 200
) -> HttpResponse:
    """Answer with a page; it is nobody's to keep in a cache."""
    response = render(request, template, dict(context), status=status)
    response["Cache-Control"] = "no-store"
    return response


def _who(request: HttpRequest) -> Viewer:
    if not request.user.is_authenticated:
        return NOBODY
    return viewer_of_user(request.user.pk)

"""The public page: anyone who holds a certificate learns whether it is genuine and still stands."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_http_methods

from records.queries.certificates import PublicState, public_certificate
from records.queries.public_check import PublicAnswer, check_file
from shop.web.forms.check import CodeForm, FileForm
from shop.web.views.page import Asked, page, shown

MOST_A_MINUTE = 20
MINUTE_S = 60
TITLES = {
    "genuine": "This certificate is genuine, and it stands",
    "replaced": "This certificate is genuine, but it was replaced",
    "withdrawn": "This certificate was withdrawn",
    "in doubt": "This certificate is genuine, but it is in doubt",
    "changed": "This file is not as it was signed",
    "unknown": "This is no certificate of this shop",
}


@login_not_required
@require_http_methods(["GET", "POST"])
@page
def check(request: Asked) -> HttpResponse:
    """Take a file, or a number with its code, and say what became of the paper."""
    sent = request.POST.get("by", "")
    by_file = FileForm(*((request.POST, request.FILES) if sent == "file" else ()))
    by_code = CodeForm(request.POST if sent == "code" else None)
    if sent and _too_often(request):
        return _wait(request)
    if sent == "file" and by_file.is_valid():
        return _answered(request, check_file(by_file.cleaned_data["paper"].read()))
    if sent == "code" and by_code.is_valid():
        told = by_code.cleaned_data
        return _answered(request, _as_answer(public_certificate(told["number"], told["code"])))
    status = 422 if sent else 200
    return shown(request, "web/check.html", {"by_file": by_file, "by_code": by_code}, status)


@login_not_required
@require_GET
@page
def check_code(request: Asked, number: str, code: str) -> HttpResponse:
    """Answer what the QR code on the paper asks."""
    if _too_often(request):
        return _wait(request)
    return _answered(request, _as_answer(public_certificate(number, code)))


def _as_answer(known: PublicState | None) -> PublicAnswer:
    if known is None:
        why = "no certificate has this number and this check code together; look at both again"
        return PublicAnswer("unknown", "", None, (why,))
    return PublicAnswer(known.state, "", known)


def _answered(request: Asked, answer: PublicAnswer) -> HttpResponse:
    title = TITLES[answer.state]
    if answer.state == "genuine" and not answer.sha256:
        # a number and a code are no proof of the paper that they were read from
        title = "A certificate with this number and code is genuine, and it stands"
    return shown(request, "web/checked.html", {"answer": answer, "title": title})


def _too_often(request: HttpRequest) -> bool:
    key = f"check:from:{request.META.get('REMOTE_ADDR', '')}"
    cache.add(key, 0, MINUTE_S)
    try:
        return int(cache.incr(key)) > MOST_A_MINUTE
    except ValueError:  # the minute ended just now
        return False


def _wait(request: Asked) -> HttpResponse:
    answer = shown(
        request,
        "web/check.html",
        {"by_file": FileForm(), "by_code": CodeForm(), "waits": True},
        429,
    )
    answer["Retry-After"] = str(MINUTE_S)
    return answer

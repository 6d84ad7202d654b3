"""Signing in and out; ten wrong passwords for a name, or from an address, and it has to wait."""

from __future__ import annotations

import hashlib
from typing import Any

from django.contrib.auth import views as auth
from django.contrib.auth.forms import AuthenticationForm
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse

MOST_TRIES = 10
WAIT_S = 300
WRONG = (
    "This name and password don't belong together. Look at capital letters and try again; "
    "a manager of the shop can give you a new password."
)


class SignInForm(AuthenticationForm):
    """A name and a password; a password keeper may fill them in, and they may be pasted."""

    error_messages = {"invalid_login": WRONG, "inactive": WRONG}  # noqa: RUF012 (Django's own)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["username"].label = "Name"
        self.fields["username"].widget.attrs |= {"autocomplete": "username"}
        self.fields["password"].widget.attrs |= {"autocomplete": "current-password"}


class SignIn(auth.LoginView):
    """Sign in, unless there were too many wrong tries of late."""

    form_class = SignInForm
    template_name = "web/sign_in.html"
    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: str, **kwargs: Any) -> HttpResponse:
        """Refuse to look at a password while the wait lasts."""
        if any(int(cache.get(key, 0)) >= MOST_TRIES for key in _keys(request)):
            return self._wait()
        return super().post(request, *args, **kwargs)

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Count a wrong try, and answer what to do."""
        for key in _keys(self.request):
            cache.add(key, 0, WAIT_S)
            cache.incr(key)
        return self.render_to_response(self.get_context_data(form=form), status=422)

    def _wait(self) -> HttpResponse:
        form = self.form_class(self.request)
        context = self.get_context_data(form=form, waits=WAIT_S // 60)
        response = self.render_to_response(context, status=429)
        response["Retry-After"] = str(WAIT_S)
        return response


class SignOut(auth.LogoutView):
    """Sign out, by a form only."""


def _keys(request: HttpRequest) -> tuple[str, str]:
    name = request.POST.get("username", "").strip().lower()
    told = hashlib.sha256(name.encode()).hexdigest()
    return f"sign-in:name:{told}", f"sign-in:from:{request.META.get('REMOTE_ADDR', '')}"

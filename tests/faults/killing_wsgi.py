"""The shop's server, in which signing kills the process each time."""

from unittest.mock import patch

import django

from tests.faults.processes import kill_this_process

django.setup()
patch("records.actions.certificates.sign_pdf", kill_this_process).start()

from shop.wsgi import application  # noqa: E402

__all__ = ["application"]

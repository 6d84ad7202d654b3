"""What gunicorn serves: `gunicorn shop.wsgi`."""

import os
import threading

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

application = get_wsgi_application()


def _sweep() -> None:
    # models can be imported only after the line above has set Django up
    from records.actions.checkpoints import checkpoint_at_server_start
    from records.outbox import sweep_at_server_start

    sweep_at_server_start()
    checkpoint_at_server_start()


# Beside the serving, since pages must not wait for papers. It is a daemon: a server told to stop
# stops, and what was under way is left for the next start.
threading.Thread(target=_sweep, name="outbox", daemon=True).start()

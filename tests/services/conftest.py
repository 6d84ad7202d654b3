"""The ring with a real Redis and a real Celery worker shares the databases of the ring `faults`."""

from tests.faults.conftest import _played, ready_shop

__all__ = ["_played", "ready_shop"]

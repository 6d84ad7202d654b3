"""Release the twin in a process of its own: `python -m tests.faults.release_now`."""

import django

django.setup()

from tests.records.small_engine import release  # noqa: E402

if __name__ == "__main__":
    release()

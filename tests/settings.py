"""The shop's settings, away from the checkout: keys and files in a folder of this run only."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

_folder = Path(tempfile.mkdtemp(prefix="tarebook-tests-"))
_maker = os.getpid()


def _clear() -> None:
    if os.getpid() == _maker:  # a forked child must not clear its parent's folder
        shutil.rmtree(_folder, ignore_errors=True)


atexit.register(_clear)
os.environ["TAREBOOK_ENV"] = "local"
os.environ["TAREBOOK_VAR"] = str(_folder)
os.environ["TAREBOOK_KEYS_FOLDER"] = str(_folder / "keys")
os.environ["TAREBOOK_STATIC_ROOT"] = str(_folder / "staticfiles")
os.environ.setdefault("SECRET_KEY", "of the tests, known to all, and used by nothing else")
for _name in ("TAREBOOK_PKCS12", "TAREBOOK_PKCS12_PASSPHRASE_FILE", "TAREBOOK_BROKER_URL"):
    os.environ.pop(_name, None)

from shop.settings import *  # noqa: E402, F403
from shop.settings import DATABASES  # noqa: E402

# Argon2 is slow on purpose; tests sign in hundreds of times
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # a file, since threads that share a database in memory meet table locks that no shop meets
    DATABASES["default"]["TEST"] = {"NAME": str(_folder / "tests.sqlite3")}

"""Every setting, read from the environment; what is missing stops the start with a sentence.

Without any environment the program runs on an embedded SQLite file below `var/` of the checkout,
for this machine only. TAREBOOK_ENV says what the process is for:

local       (default) a developer's or a first user's machine
try         the same, with collected static files, as `deploy/try` serves them
production  nothing is guessed: key, hosts, database and address come from outside
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from shop import environment
from shop.environment import env

BASE_DIR = Path(__file__).resolve().parent.parent
TAREBOOK_ENV = environment.kind_of_process()
PRODUCTION = TAREBOOK_ENV == "production"
if PRODUCTION:
    environment.need_all_of_production()

# --- what this installation keeps --------------------------------------------------------------

VAR = Path(env.str("TAREBOOK_VAR", default=str(BASE_DIR / "var")))
SECRET_KEY = env.str("SECRET_KEY", default="") or environment.secret_key_of_this_machine(VAR)
TAREBOOK_KEYS_FOLDER = Path(env.str("TAREBOOK_KEYS_FOLDER", default=str(VAR / "keys")))
TAREBOOK_PKCS12, TAREBOOK_PKCS12_PASSPHRASE_FILE = environment.pkcs12()
# the root that papers must lead to, when the signing key is not of the shop's own small CA
TAREBOOK_ROOT = env.str("TAREBOOK_ROOT", default="")
# the key that signs the log's heads, PRIVATE+KEY+name+id+base64; unset: a file of its own
TAREBOOK_LOG_KEY = env.str("TAREBOOK_LOG_KEY", default="")
# what the log calls itself in its heads, given to its key when that is made; unset: the host's name
TAREBOOK_LOG_NAME = env.str("TAREBOOK_LOG_NAME", default="")
# where heads of the log go besides the database: best where the database's keeper can't write
TAREBOOK_ANCHOR_FOLDER = env.str("TAREBOOK_ANCHOR_FOLDER", default="")
TAREBOOK_ANCHOR_EMAIL: list[str] = env.list("TAREBOOK_ANCHOR_EMAIL", default=[])
TAREBOOK_BASE_URL = env.str("TAREBOOK_BASE_URL", default="http://127.0.0.1:8000").rstrip("/")
DATABASES = {"default": environment.database(VAR)}

# --- Django ------------------------------------------------------------------------------------

DEBUG = env.bool("DEBUG", default=False) and not PRODUCTION
ALLOWED_HOSTS: list[str] = env.list("ALLOWED_HOSTS", default=["127.0.0.1", "localhost", "[::1]"])

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "csp",
    "django_htmx",
    "records",
    "api",
    "shop.web",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    # deny by default: a public view says so with @login_not_required
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"  # the shop's own zone is a setting of the shop, applied on screen only

# --- people and sessions -----------------------------------------------------------------------

AUTH_USER_MODEL = "records.User"
LOGIN_URL = "/sign-in"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "/sign-in"

PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",  # ASVS 5.0 V11.4.2
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
_VALIDATION = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS: list[dict[str, Any]] = [
    {"NAME": f"{_VALIDATION}.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": f"{_VALIDATION}.UserAttributeSimilarityValidator"},
    {"NAME": f"{_VALIDATION}.CommonPasswordValidator"},
]

# the prefix makes a browser refuse the cookie unless it is Secure, host-only, Path=/
# (ASVS 5.0 V3.3.3); it can't be had on http://127.0.0.1
_COOKIE_PREFIX = "__Host-" if PRODUCTION else ""
SESSION_COOKIE_NAME = f"{_COOKIE_PREFIX}sessionid"
SESSION_COOKIE_SECURE = PRODUCTION
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 12 * 3600  # one shift
CSRF_COOKIE_NAME = f"{_COOKIE_PREFIX}csrftoken"
CSRF_COOKIE_SECURE = PRODUCTION
CSRF_COOKIE_HTTPONLY = True  # pages put the token into the form or into hx-headers
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_TRUSTED_ORIGINS = [TAREBOOK_BASE_URL]

# --- headers -----------------------------------------------------------------------------------

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_SSL_REDIRECT = PRODUCTION
# a token that was sent in the clear must not be answered by a helpful redirect (ASVS V4.1.2)
SECURE_REDIRECT_EXEMPT = [r"^api/"]
SECURE_HSTS_SECONDS = 31_536_000 if PRODUCTION else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = PRODUCTION
SECURE_HSTS_PRELOAD = PRODUCTION
if env.bool("TAREBOOK_BEHIND_PROXY", default=False):
    # only behind a proxy that overwrites the header, or anyone could claim to have come by https
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

_SELF = ["'self'"]
_NONE = ["'none'"]
CONTENT_SECURITY_POLICY: dict[str, Any] = {
    "DIRECTIVES": {
        "default-src": _NONE,
        "script-src": _SELF,
        "style-src": _SELF,
        "img-src": _SELF,
        "font-src": _SELF,
        "connect-src": _SELF,
        "manifest-src": _SELF,
        "worker-src": _SELF,
        "form-action": _SELF,
        "base-uri": _NONE,
        "object-src": _NONE,
        "frame-ancestors": _NONE,
    },
}

# --- static files ------------------------------------------------------------------------------

STATIC_URL = "/static/"
STATIC_ROOT = Path(env.str("TAREBOOK_STATIC_ROOT", default=str(BASE_DIR / "staticfiles")))
# nothing is copied into the repository: type comes from the packages, htmx from django_htmx
STATICFILES_DIRS = [
    ("fonts/source-sans-pro", environment.files_of("font_source_sans_pro")),
    ("fonts/roboto", environment.files_of("font_roboto")),
]
_COLLECTED = TAREBOOK_ENV in ("try", "production")
_WHITENOISE_STORAGE = "whitenoise.storage.CompressedManifestStaticFilesStorage"
_PLAIN_STORAGE = "django.contrib.staticfiles.storage.StaticFilesStorage"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": _WHITENOISE_STORAGE if _COLLECTED else _PLAIN_STORAGE},
}
WHITENOISE_USE_FINDERS = not _COLLECTED
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = ["otf", "ttf", "woff", "woff2", "png", "jpg", "gz", "map"]

# --- the JSON front ----------------------------------------------------------------------------

REST_FRAMEWORK: dict[str, Any] = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "api.authentication.TokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["api.authentication.Scoped"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.Json"],
    "DEFAULT_SCHEMA_CLASS": "api.schema.Schema",
    "DEFAULT_VERSIONING_CLASS": "rest_framework.versioning.NamespaceVersioning",
    "DEFAULT_THROTTLE_RATES": {"sign-in": "10/min", "public": "60/min"},
    # behind no proxy a caller's own X-Forwarded-For must not choose whom the throttle counts
    "NUM_PROXIES": 1 if env.bool("TAREBOOK_BEHIND_PROXY", default=False) else 0,
    "EXCEPTION_HANDLER": "api.errors.problem",
    "COERCE_DECIMAL_TO_STRING": True,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS: dict[str, Any] = {
    "TITLE": "Tarebook",
    "DESCRIPTION": "The record of a shop that matches engine parts, from sign-in to certificate.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "COMPONENT_SPLIT_REQUEST": True,
    # the sort of enums into components of their own finds no good names for `state` and `kind`
    "POSTPROCESSING_HOOKS": [],
    "SCHEMA_PATH_PREFIX": "/api/v1",
}

# --- work that waits (Celery) ------------------------------------------------------------------

TAREBOOK_BROKER_URL = env.str("TAREBOOK_BROKER_URL", default="")
CELERY_BROKER_URL = TAREBOOK_BROKER_URL or "memory://localhost"
# with no broker a task runs in the process that starts it; its failure must not undo the deed
# that was committed before, so it stays in the outbox and is swept later
CELERY_TASK_ALWAYS_EAGER = not TAREBOOK_BROKER_URL
CELERY_TASK_EAGER_PROPAGATES = False
CELERY_TASK_IGNORE_RESULT = True  # outbox rows are the truth about what was done
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_TIME_LIMIT = 300
CELERY_TASK_SOFT_TIME_LIMIT = 270
# longer than the longest task, or Redis hands a running one out a second time
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    # a Redis that takes the call and never answers must not hold up a release for ever
    "socket_connect_timeout": 3,
    "socket_timeout": 5,
}
# one more try, for a connection that went stale; beyond that the outbox tries again, not the deed
CELERY_TASK_PUBLISH_RETRY_POLICY = {"max_retries": 1, "interval_start": 0}
CELERY_RESULT_BACKEND_TRANSPORT_OPTIONS = {"visibility_timeout": 3600}
CELERY_RESULT_EXPIRES = 86_400
CELERY_WORKER_CANCEL_LONG_RUNNING_TASKS_ON_CONNECTION_LOSS = True
CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT = 30
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TIMEZONE = "UTC"
# `celery -A shop beat`: a head of the log every minute in which something was entered
CELERY_BEAT_SCHEDULE = {"checkpoint": {"task": "records.make_checkpoint", "schedule": 60.0}}

# --- mail (only heads of the log are ever sent, and only on wish) --------------------------------

globals().update(environment.mail())

# --- what the server says ----------------------------------------------------------------------

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", default="WARNING")},
    "loggers": {"django": {"handlers": ["console"], "level": "WARNING", "propagate": False}},
}

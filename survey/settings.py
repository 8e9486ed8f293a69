"""What this installation is set to: one file, every variable documented in DEVELOPERS.md.

A variable that makes no sense stops start-up with a sentence that names it.
"""

import os
import secrets
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

PROJECT_FOLDER = Path(__file__).resolve().parent.parent


def _switch(name: str, *, default: bool) -> bool:
    value = os.environ.get(name, "").strip().lower()
    if value == "":
        return default
    if value in {"1", "yes", "true", "on"}:
        return True
    if value in {"0", "no", "false", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} is {value!r}; write 1 or 0.")


def _port(name: str, *, default: int) -> int:
    text = os.environ.get(name, "").strip()
    if not text:
        return default
    if not text.isdigit() or not 1 <= int(text) <= 65_535:
        raise ImproperlyConfigured(f"{name} is {text!r}; write a port from 1 to 65535.")
    return int(text)


def _database(name: str, url: str) -> dict[str, Any]:
    parts = urlsplit(url)
    if parts.scheme not in {"postgresql", "postgres"}:
        raise ImproperlyConfigured(
            f"{name} starts with {parts.scheme!r}; it must start with postgresql:// "
            "(leave it out to use the SQLite file in the data folder)."
        )
    options = dict(parse_qsl(parts.query))
    host = options.pop("host", None) or parts.hostname or ""
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": unquote(parts.path.lstrip("/")),
        "USER": unquote(parts.username or ""),
        "PASSWORD": unquote(parts.password or ""),
        "HOST": host,
        "PORT": str(parts.port or options.pop("port", "")),
        "OPTIONS": options,
        "CONN_MAX_AGE": 60,
    }


def _sqlite(path: Path) -> dict[str, Any]:
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": path,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            # recursive_triggers: without it REPLACE would slip past the guards of the logbook.
            "init_command": (
                "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; "
                "PRAGMA recursive_triggers=ON; PRAGMA foreign_keys=ON;"
            ),
        },
        "TEST": {"NAME": os.environ.get("PONTATA_TEST_DATABASE") or None},
    }


def _fixed_clock() -> datetime | None:
    text = os.environ.get("PONTATA_CLOCK", "").strip()
    if not text:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        raise ImproperlyConfigured(f"PONTATA_CLOCK is {text!r}: {error}.") from error
    if moment.tzinfo is None:
        raise ImproperlyConfigured(f"PONTATA_CLOCK is {text!r}; it needs a time zone, such as Z.")
    return moment


def _secret_key(folder: Path) -> str:
    given = os.environ.get("PONTATA_SECRET_KEY", "")
    if given:
        return given
    kept = folder / "secret-key"
    if not kept.exists():
        folder.mkdir(parents=True, exist_ok=True)
        kept.write_text(secrets.token_urlsafe(48), encoding="utf-8")
        kept.chmod(0o600)
    return kept.read_text(encoding="utf-8").strip()


DATA_FOLDER = Path(os.environ.get("PONTATA_DATA") or PROJECT_FOLDER / ".data").resolve()
SECRET_KEY = _secret_key(DATA_FOLDER)
DEBUG = _switch("PONTATA_DEBUG", default=False)
ALLOWED_HOSTS = [
    host.strip()
    for host in os.environ.get("PONTATA_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
    if host.strip()
]
FIXED_CLOCK = _fixed_clock()
HTTPS = _switch("PONTATA_HTTPS", default=False)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "django_tasks",
    "django_tasks_db",
    "survey.apps.SurveyConfig",
    "gridmap.apps.GridmapConfig",
    "survey.people.apps.PeopleConfig",
    "survey.ledger.apps.LedgerConfig",
    "survey.jobs.apps.JobsConfig",
    "survey.walls.apps.WallsConfig",
    "survey.vocabulary.apps.VocabularyConfig",
    "survey.record.apps.RecordConfig",
    "survey.treatments.apps.TreatmentsConfig",
    "survey.photos.apps.PhotosConfig",
    "survey.watch.apps.WatchConfig",
    "survey.compare.apps.CompareConfig",
    "survey.report.apps.ReportConfig",
    "survey.tablet.apps.TabletConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "survey.headers.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "survey.errors.ErrorsToPages",
]

ROOT_URLCONF = "survey.urls"
WSGI_APPLICATION = "survey.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [PROJECT_FOLDER / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "survey.people.context.what_every_page_shows",
                "survey.record.notices.alarms_everywhere",
            ],
            "builtins": ["survey.templatetags.measures", "survey.templatetags.drawing"],
        },
    },
]

_url = os.environ.get("DATABASE_URL", "").strip()
DATABASES = {
    "default": _database("DATABASE_URL", _url) if _url else _sqlite(DATA_FOLDER / "pontata.sqlite3")
}
# The owner of the tables on PostgreSQL, used by `migrate` alone: the application's role
# owns nothing.
_owner_url = os.environ.get("DATABASE_OWNER_URL", "").strip()
if _owner_url:
    DATABASES["owner"] = _database("DATABASE_OWNER_URL", _owner_url)

AUTH_USER_MODEL = "people.Account"
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "walls:start"
LOGOUT_REDIRECT_URL = "people:sign_in"

LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = False
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

STATIC_URL = "/static/"
STATIC_ROOT = PROJECT_FOLDER / "static-built"
STATICFILES_DIRS = [
    PROJECT_FOLDER / "static",
    ("vendor/ol", PROJECT_FOLDER / "node_modules" / "ol" / "dist"),
    ("vendor/idb", PROJECT_FOLDER / "node_modules" / "idb" / "build"),
    ("vendor/qrcode", PROJECT_FOLDER / "node_modules" / "qrcode-generator" / "dist"),
    ("vendor/source-sans/WOFF2", PROJECT_FOLDER / "node_modules" / "source-sans" / "WOFF2"),
]
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": DATA_FOLDER / "blobs"},
    },
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_AUTOREFRESH = DEBUG

DATA_UPLOAD_MAX_MEMORY_SIZE = (
    32 * 1024 * 1024
)  # bytes; a batch of entries, checked again by the API
FILE_UPLOAD_MAX_MEMORY_SIZE = 8 * 1024 * 1024  # bytes

SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 12 * 3600  # s, a long working day
SECURE_CONTENT_TYPE_NOSNIFF = True
X_FRAME_OPTIONS = "DENY"

# Notices go by e-mail where a mail server is set; without one they are handed over as PDF.
EMAIL_HOST = os.environ.get("PONTATA_MAIL_HOST", "").strip()
EMAIL_PORT = _port("PONTATA_MAIL_PORT", default=587)
EMAIL_HOST_USER = os.environ.get("PONTATA_MAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("PONTATA_MAIL_PASSWORD", "")
EMAIL_USE_TLS = _switch("PONTATA_MAIL_TLS", default=True)
EMAIL_TIMEOUT = 20  # s
DEFAULT_FROM_EMAIL = os.environ.get("PONTATA_MAIL_FROM", "").strip() or EMAIL_HOST_USER
if EMAIL_HOST and not DEFAULT_FROM_EMAIL:
    raise ImproperlyConfigured("PONTATA_MAIL_FROM is empty; name the sender's address.")

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["survey.api.parsing.JsonBody"],
    "EXCEPTION_HANDLER": "survey.errors.errors_to_json",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Pontata",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.IsAuthenticated"],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}

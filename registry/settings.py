"""Settings, read once from the environment. DEVELOPERS.md describes each variable; a test holds that."""

import os
from pathlib import Path
from typing import Any

import dj_database_url

from registry.environment import env_bool, env_folder, env_int, env_list, env_secret

BASE_DIR = Path(__file__).resolve().parent.parent
STATE_DIR = BASE_DIR / ".state"

DEBUG = env_bool("EVENKEEL_DEBUG", default=False)
SECRET_KEY = env_secret("EVENKEEL_SECRET_KEY", development="development-only-key-" + "x" * 40 if DEBUG else None)
ALLOWED_HOSTS = env_list("EVENKEEL_HOSTS") or (["localhost", "127.0.0.1", "[::1]"] if DEBUG else [])
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if not DEBUG else []

INSTALLED_APPS = [
    "sites",
    "registry.equipment",
    "registry.audio",
    "registry.baselines",
    "registry.planning",
    "registry.visits",
    "registry.web",
    "registry.demo",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_filters",
    "django_htmx",
    "simple_history",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    # Development serves static files itself, without collecting them first.
    *([] if DEBUG else ["whitenoise.middleware.WhiteNoiseMiddleware"]),
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "registry.web.headers.ContentSecurityPolicyMiddleware",
]

ROOT_URLCONF = "registry.urls"
WSGI_APPLICATION = "registry.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["registry.web.templatetags.evenkeel"],
        },
    }
]


def database(url: str) -> dict[str, Any]:
    """Return the connection for `url`; SQLite gets write-ahead logging and takes the write lock at once.

    Without IMMEDIATE, two requests that read and then write lock each other out for good.
    """
    settings: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
    if settings["ENGINE"].endswith("sqlite3"):
        settings["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;",
        }
    return settings


def default_database_url() -> str:
    """Return the address of the SQLite file in the hidden state folder, which is made if it is missing."""
    STATE_DIR.mkdir(exist_ok=True)
    return f"sqlite:///{STATE_DIR / 'evenkeel.sqlite3'}"


DATABASES = {"default": database(os.environ.get("DATABASE_URL") or default_database_url())}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "client_sites.User"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = STATE_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

# Photos of spots: no address serves this folder; a page that knows who may look does.
MEDIA_ROOT = env_folder("EVENKEEL_MEDIA", default=STATE_DIR / "media")

# A survey of 200 sites is a few megabytes; anything far larger is a mistake or an attack.
SURVEY_MAX_BYTES = env_int("EVENKEEL_SURVEY_MAX_BYTES", default=32 * 1024 * 1024, minimum=1)
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

if not DEBUG:
    SECURE_SSL_REDIRECT = env_bool("EVENKEEL_HTTPS", default=True)
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if env_bool("EVENKEEL_PROXY", default=False) else None
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
SESSION_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"

"""Settings, read once from the environment. DEVELOPERS.md describes each variable; a test holds that."""

import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from registry.api_configuration import REST_FRAMEWORK, SPECTACULAR_SETTINGS  # noqa: F401 (a setting by its name)
from registry.environment import env_bool, env_bucket, env_email, env_folder, env_int, env_list, env_secret, env_word
from registry.logs import logging_to_stderr

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
    "registry.search",
    "registry.visits",
    "registry.web",
    "registry.demo",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_filters",
    "django_htmx",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "simple_history",
]

MIDDLEWARE = [
    "registry.web.request_log.RequestLogMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "registry.web.health.HealthMiddleware",
    # Outside of what asks the database who is there: that may be what goes wrong.
    "registry.api.answers.ProblemMiddleware",
    # Development serves static files itself, without collecting them first.
    *([] if DEBUG else ["whitenoise.middleware.WhiteNoiseMiddleware"]),
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_otp.middleware.OTPMiddleware",
    "registry.web.origin.OriginMiddleware",
    "registry.web.accounts.middleware.SignInLimitMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "registry.web.accounts.middleware.SecondFactorMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "csp.middleware.CSPMiddleware",
    "registry.web.headers.HeadersMiddleware",
    "axes.middleware.AxesMiddleware",
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
FORM_RENDERER = "registry.web.form_renderer.Renderer"


def database(url: str) -> dict[str, Any]:
    """Return the connection for `url`; SQLite gets write-ahead logging and takes the write lock at once.

    Without IMMEDIATE, two requests that read and then write lock each other out for good. Without FULL, a power cut
    loses the last writes that people were told are saved.
    """
    settings: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
    if settings["ENGINE"].endswith("sqlite3"):
        settings["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
        }
    return settings


def default_database_url() -> str:
    """Return the address of the SQLite file in the hidden state folder, which is made if it is missing."""
    STATE_DIR.mkdir(exist_ok=True)
    return f"sqlite:///{STATE_DIR / 'evenkeel.sqlite3'}"


# What all workers must count together; its table is made by `migrate`.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "shared_cache"}}
DATABASES = {"default": database(os.environ.get("DATABASE_URL") or default_database_url())}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "client_sites.User"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_RESET_TIMEOUT = 24 * 3600  # how long a password link works, in seconds
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"

# Sessions end after so long without use, and after so long in any case; sensitive pages ask again sooner.
SESSION_ENGINE = "sites.sessions"
SESSION_COOKIE_AGE = 3600 * env_int("EVENKEEL_IDLE_HOURS", default=24, minimum=1)
SIGN_IN_SECONDS = 3600 * env_int("EVENKEEL_SIGN_IN_HOURS", default=168, minimum=1)
FRESH_SECONDS = 60 * env_int("EVENKEEL_FRESH_MINUTES", default=15, minimum=1)
SECOND_FACTOR = env_word("EVENKEEL_SECOND_FACTOR", ("off", "writers", "everyone"))
OTP_TOTP_ISSUER = "Evenkeel"

# Six wrong passwords for one name from one address shut that pair out for a quarter of an hour, also over a restart.
BEHIND_PROXY = env_bool("EVENKEEL_PROXY", default=False)
AXES_HANDLER = "axes.handlers.database.AxesDatabaseHandler"
AXES_FAILURE_LIMIT = 6
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_CLIENT_IP_CALLABLE = "registry.web.accounts.address.throttled_address"
AXES_USERNAME_CALLABLE = "registry.web.accounts.address.throttled_name"
AXES_LOCKOUT_TEMPLATE = "accounts/locked.html"
AXES_DISABLE_ACCESS_LOG = True
AXES_SENSITIVE_PARAMETERS = ["username"]  # some type their password into the wrong field
AXES_ENABLE_ADMIN = False

# E-mail: password links and reminders. EMAIL_HOST and its siblings come from one address.
EMAIL_SETTINGS = env_email("EVENKEEL_EMAIL")
globals().update(EMAIL_SETTINGS)
SENDS_EMAIL = "EMAIL_HOST" in EMAIL_SETTINGS

LANGUAGE_CODE = "en-gb"
USE_I18N = False  # one language; else every address and label is looked up by it, which lists feel
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = STATE_DIR / "static"
# Photos, documents and uploads that wait: no address serves them; a page that knows who may look does.
MEDIA_BUCKET = env_bucket("EVENKEEL_MEDIA")
MEDIA_ROOT = "" if MEDIA_BUCKET else env_folder("EVENKEEL_MEDIA", default=STATE_DIR / "media")
STORAGES = {
    "default": MEDIA_BUCKET or {"BACKEND": "sites.durable_files.DurableFiles"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

# Backups are sealed with it when it is set; a command can be given it in a file instead.
BACKUP_PASSPHRASE = os.environ.get("EVENKEEL_BACKUP_PASSPHRASE", "")

LOGGING = logging_to_stderr(debug=DEBUG)

# A survey of 200 sites is a few megabytes; anything far larger is a mistake or an attack.
SURVEY_MAX_BYTES = env_int("EVENKEEL_SURVEY_MAX_BYTES", default=32 * 1024 * 1024, minimum=1)
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

if not DEBUG:
    SECURE_SSL_REDIRECT = env_bool("EVENKEEL_HTTPS", default=True)
    SECURE_REDIRECT_EXEMPT = ["^health/$", "^ready/$"]
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXY else None
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    # A browser takes a cookie with this beginning only over HTTPS, for this host and the whole of it.
    SESSION_COOKIE_NAME = "__Host-session"
    CSRF_COOKIE_NAME = "__Host-csrf"
SESSION_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "media-src": [SELF, "blob:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

# A proxy's word on who is asking counts only where there is one.
REST_FRAMEWORK["NUM_PROXIES"] = 1 if BEHIND_PROXY else 0

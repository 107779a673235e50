"""Settings come from the environment; what is unset takes the embedded default: one laptop, SQLite, no Redis.

Nothing imports this module by name: use ``django.conf.settings``.
"""

import secrets
from pathlib import Path

import environ
from bootstrap_wrapper import get_bootstrap_dir
from django.core.exceptions import ImproperlyConfigured
from django.urls import reverse_lazy
from django.utils.translation import gettext_lazy as _

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

VAR_DIR = Path(env.str("VAR_DIR", default=str(BASE_DIR / "var")))
VAR_DIR.mkdir(parents=True, exist_ok=True)

EMBEDDED = "DATABASE_URL" not in env.ENVIRON
"""True on a coach's own machine: an embedded database, one worker process, pages over plain http on localhost."""

DEBUG = env.bool("DEBUG", default=False)
TESTING = env.bool("LADLEWORK_TESTING", default=False)


def _embedded_secret_key() -> str:
    """A random key kept beside the embedded database, readable by its owner only."""
    path = VAR_DIR / "secret-key"
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(50), encoding="ascii")
    return path.read_text(encoding="ascii").strip()


SECRET_KEY = env.str("SECRET_KEY", default="")
if not SECRET_KEY:
    if not EMBEDDED:
        raise ImproperlyConfigured(
            "Set SECRET_KEY to a long random text; DATABASE_URL is set, so none is made up."
        )
    SECRET_KEY = _embedded_secret_key()
SECRET_KEY_FALLBACKS = env.list("SECRET_KEY_FALLBACKS", default=[])

ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"] if EMBEDDED else [])
SITE_URL = env.str("SITE_URL", default="http://localhost:8000").rstrip("/")
"""Where links in mail lead. No trailing slash."""
HTTPS = SITE_URL.startswith("https://")
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[SITE_URL] if HTTPS else [])

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.humanize",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "crispy_forms",
    "crispy_bootstrap5",
    "django_htmx",
    "csp",
    "coaching",
    "coaching.outbox",
    "coaching.practice",
    "plans",
    "clients",
    "coaching.desk",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "coaching.web.middleware.RequestIdMiddleware",
    "coaching.web.middleware.HeadersMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "coaching.practice.middleware.PersonMiddleware",
    "coaching.practice.middleware.AccessMiddleware",
]

ROOT_URLCONF = "coaching.urls"
WSGI_APPLICATION = "coaching.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "coaching.web.context.site",
            ],
        },
    },
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

DATABASES = {"default": env.db("DATABASE_URL", default=f"sqlite:///{VAR_DIR / 'ladlework.sqlite3'}")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # DEFERRED transactions fail at once under concurrent writers; IMMEDIATE waits its turn.
    DATABASES["default"].setdefault("OPTIONS", {}).update(
        transaction_mode="IMMEDIATE",
        timeout=20,
        init_command="PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;",
    )

REDIS_URL = env.str("REDIS_URL", default="")
if REDIS_URL:
    CACHES = {"default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}}
else:
    # Shared by all processes, so that sign-in limits and one-time codes count once.
    CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "shared_cache"}
    }

CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_TIME_LIMIT = 110
CELERY_TASK_SOFT_TIME_LIMIT = 100
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_MAX_TASKS_PER_CHILD = 100
CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT = 8.0
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 300,
    "socket_timeout": 30,
    "socket_connect_timeout": 2,
    # What a dead worker held comes back soon after its visibility timeout, not up to 100 seconds later.
    "unacked_restore_interval": 10,
    "unacked_restore_throttle": 1,
    # A page that wakes a worker gives up at once when the broker is away; the sweep finds the row.
    "max_retries": 1,
    "interval_start": 0,
}
OUTBOX_LEASE_SECONDS = env.int("OUTBOX_LEASE_SECONDS", default=120)
"""How long a claim on owed work holds before another process may take it over."""
CELERY_TIMEZONE = "UTC"

EMAIL_CONFIG = env.email("EMAIL_URL", default="filemail://")
EMAIL_BACKEND = EMAIL_CONFIG["EMAIL_BACKEND"]
EMAIL_HOST = EMAIL_CONFIG.get("EMAIL_HOST") or "localhost"
EMAIL_PORT = EMAIL_CONFIG.get("EMAIL_PORT") or 25
EMAIL_HOST_USER = EMAIL_CONFIG.get("EMAIL_HOST_USER") or ""
EMAIL_HOST_PASSWORD = EMAIL_CONFIG.get("EMAIL_HOST_PASSWORD") or ""
EMAIL_USE_TLS = bool(EMAIL_CONFIG.get("EMAIL_USE_TLS"))
EMAIL_USE_SSL = bool(EMAIL_CONFIG.get("EMAIL_USE_SSL"))
EMAIL_TIMEOUT = 20
EMAIL_FILE_PATH = str(VAR_DIR / "mail")
DEFAULT_FROM_EMAIL = env.str("FROM_EMAIL", default="Ladlework <post@example.org>")
SERVER_EMAIL = DEFAULT_FROM_EMAIL
MAIL_DOMAIN = env.str("MAIL_DOMAIN", default=DEFAULT_FROM_EMAIL.rsplit("@", 1)[-1].rstrip("> "))
"""The right-hand side of every Message-ID."""

AUTH_USER_MODEL = "practice.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = [
    "coaching.practice.hashers.LeanArgon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = reverse_lazy("account_login")
LOGIN_REDIRECT_URL = reverse_lazy("home")
ACCOUNT_LOGOUT_REDIRECT_URL = reverse_lazy("account_login")
ACCOUNT_ADAPTER = "coaching.practice.adapters.AccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_EMAIL_NOTIFICATIONS = True
ACCOUNT_REAUTHENTICATION_REQUIRED = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("TRUSTED_PROXY_COUNT", default=0)
MFA_ADAPTER = "coaching.practice.adapters.MfaAdapter"
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Ladlework"
REQUIRE_STAFF_MFA = env.bool("REQUIRE_STAFF_MFA", default=not EMBEDDED)
"""Staff without a second factor are sent to set one up before they see anything else."""

LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English"))]
LOCALE_PATHS = [BASE_DIR / "coaching" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = Path(env.str("STATIC_ROOT", default=str(VAR_DIR / "static")))
if EMBEDDED:
    STATIC_ROOT.mkdir(parents=True, exist_ok=True)
STATICFILES_DIRS = [("bootstrap", get_bootstrap_dir())]
WHITENOISE_USE_FINDERS = EMBEDDED
WHITENOISE_AUTOREFRESH = DEBUG
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {
            "location": env.str("FILES_ROOT", default=str(VAR_DIR / "files")),
            "file_permissions_mode": 0o600,
        },
    },
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if EMBEDDED
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

SECURE_SSL_REDIRECT = HTTPS and env.bool("SSL_REDIRECT", default=True)
SECURE_PROXY_SSL_HEADER = (
    ("HTTP_X_FORWARDED_PROTO", "https") if env.bool("BEHIND_PROXY", default=False) else None
)
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_NAME = "__Host-session" if HTTPS else "session"
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "csrf"
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
X_FRAME_OPTIONS = "DENY"
CSRF_FAILURE_VIEW = "coaching.web.views.csrf_failure"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "font-src": ["'self'"],
        "connect-src": ["'self'"],
        "manifest-src": ["'self'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}

DATA_UPLOAD_MAX_MEMORY_SIZE = 2_621_440
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_621_440

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"()": "coaching.web.logs.LineFormatter"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": "INFO"},
    "loggers": {
        "fontTools": {"level": "WARNING"},
        "weasyprint": {"level": "ERROR"},
        "pikepdf": {"level": "WARNING"},
        "django": {"handlers": [], "propagate": True},
    },
}

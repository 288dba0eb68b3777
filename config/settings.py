"""Settings. Everything a workshop may change comes from the environment; see README, "Settings"."""

import os
import secrets
import sys
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF

from config.env import env_address, env_bool, env_choice, env_list, env_mail_address, env_mail_server, env_secret
from config.logs import logging_at

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("WICKTURN_DATA", BASE_DIR / ".book"))
TESTING = "pytest" in sys.modules

# The demo workshop and one's own book never share a database.
OWN_BOOK, DEMO_BOOK = DATA_DIR / "book.sqlite3", DATA_DIR / "demo.sqlite3"
# A named database is never the demo's, whatever lies in the data folder.
IS_DEMO = env_bool(
    "WICKTURN_DEMO", default=DEMO_BOOK.exists() and not OWN_BOOK.exists() and not os.environ.get("DATABASE_URL")
)
# Where shops reach this book, as https://book.example: links in letters begin with it. None: letters carry no link.
PUBLIC_ADDRESS = env_address("WICKTURN_PUBLIC_ADDRESS")
# Where the worker beside the server keeps a copy a day; a folder of the owner's choice must be there already.
OWN_COPIES = (DATA_DIR / "copies").absolute()
COPIES = Path(os.environ.get("WICKTURN_COPIES") or OWN_COPIES).expanduser().absolute()
# `serve --no-worker` says so to its pages: plans are searched for and copies kept by a worker on another machine.
WORKER_ELSEWHERE = env_bool("WICKTURN_WORKER_ELSEWHERE", default=False)
# For a workshop network without TLS. What it gives up is said on every start (config/checks.py).
PLAIN_HTTP = env_bool("WICKTURN_PLAIN_HTTP", default=False)

DEBUG = False
# Without a kept key every restart signs everybody out; `serve` and `demo` write one beside the book.
KEPT_KEY = env_secret("WICKTURN_SECRET_KEY", DATA_DIR / "secret_key")
SECRET_KEY = KEPT_KEY or secrets.token_urlsafe(50)
ALLOWED_HOSTS = env_list("WICKTURN_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = env_list("WICKTURN_ORIGINS")
# Only for a server that a reverse proxy alone can reach: its X-Forwarded-Proto and X-Forwarded-For are believed.
BEHIND_PROXY = env_bool("WICKTURN_BEHIND_PROXY", default=False)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXY else None

INSTALLED_APPS = [
    "config",
    "inventory",
    "production",
    "orders",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django.forms",
    "axes",
    "csp",
    "django_filters",
    "django_htmx",
    "django_tables2",
    "django_tasks",
    "django_tasks_db",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "config.middleware.HeadersMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    # Behind those, so that style sheets and scripts carry the same headers as pages.
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.middleware.HealthMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "config.middleware.SignedInMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "config.limits.BodyLimitMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"

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
                "config.context.rail",
            ],
            "builtins": ["config.templatetags.wickturn"],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
DJANGO_TABLES2_TEMPLATE = "parts/table.html"

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{DEMO_BOOK if IS_DEMO else OWN_BOOK}",
        conn_max_age=600,
        conn_health_checks=True,
    )
}
SQLITE = {
    # Django's own backend, with a queue for its writers.
    "ENGINE": "config.fair_sqlite",
    "OPTIONS": {
        # IMMEDIATE: a writer takes the lock when it begins, so what it counted cannot change under it.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # FULL: a confirmed order survives a power cut, which WAL with NORMAL does not promise.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    },
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"].update(SQLITE)
elif DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql":
    # Django's own backend, whose row locks leave keys alone.
    DATABASES["default"]["ENGINE"] = "config.keyed_postgresql"
    # A database that does not answer keeps a page waiting no longer than this. And a server that lost its power in the
    # middle of a change says no goodbye: within a minute the database takes its locks back (it would wait two hours).
    ALIVE = "-c tcp_keepalives_idle=30 -c tcp_keepalives_interval=10 -c tcp_keepalives_count=3"
    DATABASES["default"]["OPTIONS"] = {
        "connect_timeout": 10,
        "options": ALIVE,
        **DATABASES["default"].get("OPTIONS", {}),
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "config.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "config.backends.PinBackend",
    "config.backends.PasswordBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "full_name")},
    },
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
    {"NAME": "config.passwords.PlainPasswordValidator"},
]
LOGIN_URL, LOGIN_REDIRECT_URL, LOGOUT_REDIRECT_URL = "sign_in", "today", "sign_in"

# Five failures lock that name from that address only: one clumsy tablet never shuts the workshop out. The owner lifts
# it on the person's page; the hour is for the owner who locked himself out.
AXES_FAILURE_LIMIT = 5
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_COOLOFF_TIME = 1
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_USERNAME_FORM_FIELD = "username"
AXES_CLIENT_IP_CALLABLE = "config.addresses.client_address"
AXES_LOCKOUT_CALLABLE = "config.addresses.keep_response"
# What a failed try leaves in the database is the name and the address, never what was typed beside them.
AXES_SENSITIVE_PARAMETERS = ["username", "ip_address", "pin", "kept", "csrfmiddlewaretoken"]
AXES_DISABLE_ACCESS_LOG = True

CSRF_FAILURE_VIEW = "config.views.csrf.csrf_failed"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = not PLAIN_HTTP
if not PLAIN_HTTP:
    # Under such a name a browser takes a cookie from this very host only, and under TLS only.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
SECURE_SSL_REDIRECT = not PLAIN_HTTP
SECURE_HSTS_SECONDS = 0 if PLAIN_HTTP else 60 * 60 * 24 * 365
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = not PLAIN_HTTP
# The health check comes from within, past whatever speaks TLS, and tells nothing worth keeping.
SECURE_REDIRECT_EXEMPT = ["^health/$"]
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "manifest-src": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

# Errors, and what is wrong but goes on; "info" tells refused forms and pages not there as well. No level tells names.
LOGGING = logging_at(env_choice("WICKTURN_LOG_LEVEL", ("info", "warning", "error"), "warning").upper())

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "Europe/London"
USE_I18N, USE_TZ = False, True
USE_THOUSAND_SEPARATOR = False

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
# Files are served from where they lie; the tests and a fresh clone need no collected copy.
WHITENOISE_USE_FINDERS = True
WHITENOISE_ALLOW_ALL_ORIGINS = False

# The post. Without a mail server, and always in the demo, letters become files in a folder beside the book.
NAMED_MAIL_SERVER = env_mail_server("WICKTURN_SMTP_URL")
MAIL_SERVER = None if IS_DEMO else NAMED_MAIL_SERVER
MAIL_FROM = env_mail_address("WICKTURN_MAIL_FROM")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if MAIL_SERVER else 'filebased'}.EmailBackend"
EMAIL_FILE_PATH = DATA_DIR / "post"
# A mail server that hangs keeps the page waiting no longer than this.
EMAIL_TIMEOUT = 10
if MAIL_SERVER:
    EMAIL_HOST, EMAIL_PORT = MAIL_SERVER["EMAIL_HOST"], MAIL_SERVER["EMAIL_PORT"]
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL_SERVER["EMAIL_HOST_USER"], MAIL_SERVER["EMAIL_HOST_PASSWORD"]
    EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL_SERVER["EMAIL_USE_TLS"], MAIL_SERVER["EMAIL_USE_SSL"]

# What takes longer than a page may is done by the worker (config/worker.py), which finds it in the database.
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
DATA_UPLOAD_MAX_NUMBER_FILES = 5
# Somewhat above inventory.sheets' 10 MB, so that a sheet just too long is refused beside its field.
UPLOAD_MAX_BYTES = 12_000_000

if TESTING:
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # There is no worker beside the tests: a task is done where it is asked for.
    TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}

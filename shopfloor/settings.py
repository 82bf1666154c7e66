"""What does Django need to know?  Everything a deployment may change is an
environment variable; see ``.env.example``."""

from datetime import timedelta
from pathlib import Path

from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from shopfloor import environment, headers

BASE_DIR = Path(__file__).resolve().parent.parent
DEBUG = environment.flag("DEBUG", default=False)
SECRET_KEY = environment.text("SECRET_KEY", "")
# A newcomer's `make run` serves this machine only and keeps a key of its own
# in a file; anything reachable from elsewhere must bring one.
if not SECRET_KEY:
    raise ImproperlyConfigured(
        "SECRET_KEY is not set. `make run` and `make test` set one; a server of "
        "your own needs 50 random characters in the environment."
    )
ALLOWED_HOSTS = environment.words("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = environment.words("CSRF_TRUSTED_ORIGINS")
# What a printed code carries before /T/CODE; upper case is the dense QR mode.
PUBLIC_ORIGIN = environment.text("PUBLIC_ORIGIN", "HTTP://SHOP.LAN").upper()

INSTALLED_APPS = [
    "travelers.kit",
    "travelers.shop",
    "travelers.lumber",
    "travelers.routes",
    "travelers.orders",
    "travelers.floor",
    "travelers.quality",
    "travelers.planning",
    "travelers.outbox",
    "travelers.paper",
    "travelers.demo",
    "travelers.kit.apps.BackDoorConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials",
    "csp",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "travelers.kit.middleware.PolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "travelers.shop.sessions.SignedIn",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "travelers.kit.middleware.RefusalMiddleware",
]
ROOT_URLCONF = "shopfloor.urls"
WSGI_APPLICATION = "shopfloor.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "travelers.shop.context.navigation",
            ],
        },
    }
]

DATABASES = {
    "default": environment.database(
        environment.text("DATABASE_URL", ""), folder=BASE_DIR
    )
}
# A database that is thrown away with its tests may forget what was committed.
if environment.flag("DATABASE_IS_THROWN_AWAY", default=False):
    SILENCED_SYSTEM_CHECKS = ["kit.E003"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "shop.Person"
SESSION_ENGINE = "travelers.shop.sessions"
LOGIN_URL = "shop:sign_in"
CSRF_FAILURE_VIEW = "travelers.kit.middleware.stale_page"
LOGIN_REDIRECT_URL = "shop:home"
LOGOUT_REDIRECT_URL = "shop:sign_in"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "travelers" / "kit" / "locale"]
TIME_ZONE = environment.text("TIME_ZONE", "Europe/Berlin")
# So long whoever pressed may take it back with one touch; later it is the lead's.
UNDO_WITHIN = timedelta(minutes=int(environment.text("UNDO_MINUTES", "10")))
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / "static_collected"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": environment.text(
            "STATICFILES_STORAGE",
            "whitenoise.storage.CompressedManifestStaticFilesStorage",
        )
    },
}
WHITENOISE_ADD_HEADERS_FUNCTION = headers.add

# Who gets the digest, by which mail server; without both nothing is sent.
EMAIL_HOST = environment.text("EMAIL_HOST", "")
EMAIL_PORT = int(environment.text("EMAIL_PORT", "25"))
EMAIL_HOST_USER = environment.text("EMAIL_USER", "")
EMAIL_HOST_PASSWORD = environment.text("EMAIL_PASSWORD", "")
EMAIL_USE_TLS = environment.flag("EMAIL_TLS", default=False)
EMAIL_TIMEOUT = 30
DEFAULT_FROM_EMAIL = environment.text("EMAIL_FROM", "shop@localhost")
DIGEST_TO = environment.words("DIGEST_TO")

# Photos of defects, papers of deliveries: beside the database, under no address of the
# web server's own.
MEDIA_ROOT = environment.text("MEDIA", "") or str(BASE_DIR / "media")
FILE_UPLOAD_HANDLERS = ["travelers.kit.uploads.KeptInMemory"]

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
# Behind a TLS proxy: cookies and redirects by https only.
HTTPS = environment.flag("HTTPS", default=False)
SECURE_SSL_REDIRECT = HTTPS
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SESSION_COOKIE_AGE = 12 * 3600
SESSION_COOKIE_HTTPONLY = True
# How long nobody may touch a tablet before whoever is signed in there is signed out.
IDLE_SIGN_OUT_S = environment.seconds("IDLE_SIGN_OUT_S", 600)
# How long after the password was typed it is not asked for again, when QA or a lead
# decides; 0 never asks.
SIGN_AGAIN_S = environment.seconds("SIGN_AGAIN_S", 600, or_never=True)
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000

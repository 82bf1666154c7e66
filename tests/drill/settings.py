"""What differs from the shop's settings while it is served to a drill?

Nothing of how it stores: that is what is tried.
"""

import os

from shopfloor.settings import *
from tests.settings import PASSWORD_HASHERS  # noqa: F401 - people sign in quickly

STORAGES["staticfiles"] = {
    "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
}
WHITENOISE_AUTOREFRESH = WHITENOISE_USE_FINDERS = True

# How long a writer is waited for, where twenty seconds would be long for a test.
if busy_s := os.environ.get("DRILL_BUSY_S"):
    OPTIONS = DATABASES["default"]["OPTIONS"]
    if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        OPTIONS["timeout"] = float(busy_s)
    else:
        OPTIONS["options"] = f"-c lock_timeout={busy_s}s"

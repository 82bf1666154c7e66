"""What differs from the shop's settings while tests run?"""

import os

os.environ.setdefault(
    "SECRET_KEY", "for-tests-and-checks-only-0123456789-abcdefghijklmnopqrstuvwxyz"
)

from shopfloor.settings import *

# A slow hash guards real people; here it only costs time.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Files keep their own names, so that nothing must be collected first.
STORAGES["staticfiles"] = {
    "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
}
WHITENOISE_AUTOREFRESH = True
WHITENOISE_USE_FINDERS = True
# A browser keeps them all the same, as it does a shop's, named by content.
WHITENOISE_MAX_AGE = 10 * 365 * 86_400
# Tests come in without the sign-in page; where it is asked who signs they say so.
SIGN_AGAIN_S = 0

"""Which browser drives the tests?"""

import shutil

# The one without a window costs half the work of the other, and draws the same.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")


def browser_program() -> str | None:
    """Give the path of the first that this machine has."""
    return next(filter(None, map(shutil.which, NAMES)), None)

"""For which reasons does the demo say no?"""

from travelers.kit.refusals import gettext_noop, refusal

NOT_EMPTY = refusal(
    "demo.not_empty",
    gettext_noop("This database is in use; the demo is only put into an empty one."),
    gettext_noop("Name another database in DATABASE_URL, or run make demo."),
)
NO_DEMO = refusal(
    "demo.no_demo",
    gettext_noop(
        "This database does not hold the demo, so nobody's password is known."
    ),
    gettext_noop("Sign in as somebody of this shop, or load the demo elsewhere."),
    status=404,
)

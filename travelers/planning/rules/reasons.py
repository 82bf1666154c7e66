"""When can nothing be forecast or tried?"""

from travelers.kit.refusals import gettext_noop, refusal

NOT_COMPILED = refusal(
    "planning.not_compiled",
    gettext_noop("Nothing can be forecast here: numba is not installed."),
    gettext_noop("Ask whoever looks after the server to install what the shop needs."),
    status=503,
)
NOTHING_OPEN = refusal(
    "planning.nothing_open",
    gettext_noop("There is nothing on the floor to forecast."),
    gettext_noop("Release an order first."),
)
WHAT_IF_TAKEN = refusal(
    "planning.what_if_taken",
    gettext_noop("Something else is called {name} already."),
    gettext_noop("Give this one another name, or throw the other one away."),
)

"""When can nothing be forecast, tried, planned or promised?"""

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
NOTHING_TO_RELEASE = refusal(
    "planning.nothing_to_release",
    gettext_noop("No order waits for its release, so there is nothing to plan."),
    gettext_noop("Make an order first."),
)
NO_ORDER_CHOSEN = refusal(
    "planning.no_order_chosen",
    gettext_noop("No order was chosen to be released."),
    gettext_noop("Tick the orders that shall go in, then release them."),
    status=422,
)
ANSWER_OLD = refusal(
    "planning.answer_old",
    gettext_noop("This answer is older than an hour, so no order was made of it."),
    gettext_noop("Ask again: the floor may have moved since."),
)

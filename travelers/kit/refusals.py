"""How does the shop say no?

A refusal is news from the trade, not a fault: it has a code for machines, a
sentence for the person now and a remedy for what to do next.  Rules return it,
verbs raise it inside :class:`Refused`, and only the edge turns it into words of
the reader's language.  This module is pure, so that rules can use it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import ClassVar


def gettext_noop(text: str) -> str:
    """Mark a text for the translators; it is translated where it is shown."""
    return text


@dataclass(frozen=True, slots=True)
class Refusal:
    """One reason to say no.

    ``sentence`` and ``remedy`` may name places in braces (``{station}``), which
    :meth:`about` fills.  A word whose name ends in ``_at`` is an ISO 8601 moment
    and is shown in local time; ``_word`` and ``_words`` are of closed lists and are
    shown in the reader's language.  ``may_allow`` names the roles that can let the
    gate pass with a reason; empty means that nobody can.
    """

    code: str
    sentence: str
    remedy: str
    status: int = 409
    may_allow: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)

    registry: ClassVar[dict[str, "Refusal"]] = {}

    def about(self, **words: str) -> "Refusal":
        return replace(self, words={**self.words, **words})


def refusal(
    code: str,
    sentence: str,
    remedy: str,
    *,
    status: int = 409,
    may_allow: tuple[str, ...] = (),
) -> Refusal:
    """Declare a refusal once; codes are a closed set."""
    if code in Refusal.registry:
        raise ValueError(f"The refusal {code} is declared twice.")
    made = Refusal(code, sentence, remedy, status, may_allow)
    Refusal.registry[code] = made
    return made


class Refused(Exception):
    """A verb stops here; the transaction rolls back and the edge answers."""

    def __init__(self, refusal: Refusal) -> None:
        super().__init__(refusal.code)
        self.refusal = refusal


NOT_YOUR_ROLE = refusal(
    "kit.not_your_role",
    gettext_noop("This page is not part of your work here."),
    gettext_noop("Ask your lead, or sign in as somebody whose work it is."),
    status=403,
)
NOT_FOUND = refusal(
    "kit.not_found",
    gettext_noop("Nothing here has that number."),
    gettext_noop("Check the number, or search for it from the start page."),
    status=404,
)
FORM_WRONG = refusal(
    "kit.form_wrong",
    gettext_noop("Some of what was typed cannot be used."),
    gettext_noop("Look at the marked fields; what was typed is still there."),
    status=422,
)
TOO_MUCH = refusal(
    "kit.too_much",
    gettext_noop("That is more text than any field here takes."),
    gettext_noop("Shorten it and send it again; nothing was recorded."),
    status=422,
)
STALE_PAGE = refusal(
    "kit.stale_page",
    gettext_noop("This page is from before the last sign-in, so it was not sent."),
    gettext_noop("Open it afresh and do it again; nothing was recorded."),
    status=403,
)
RECORDS_BUSY = refusal(
    "kit.records_busy",
    gettext_noop("The records are busy with something else; this was not stored."),
    gettext_noop("Keep the part here and press again in a moment."),
    status=503,
)
RECORDS_AWAY = refusal(
    "kit.records_away",
    gettext_noop("The records cannot be reached; take this as not stored."),
    gettext_noop(
        "Keep the part here and press again in a moment; what came through before "
        "counts once."
    ),
    status=503,
)
RECORDS_UNREAD = refusal(
    "kit.records_unread",
    gettext_noop("The records cannot be read just now; what stands here may be old."),
    gettext_noop("Wait a moment and try again; what was answered before is stored."),
    status=503,
)
NO_CHARTS = refusal(
    "kit.no_charts",
    gettext_noop("The shop's computer lacks what draws charts."),
    gettext_noop("Read the table beside it: it has the same numbers."),
)
RECORDS_FULL = refusal(
    "kit.records_full",
    gettext_noop("The disk of the records takes no more; this was not stored."),
    gettext_noop(
        "Keep the part here, write it on the traveler, and tell whoever looks after "
        "the server; then press again."
    ),
    status=507,
)

"""How many papers has a delivery, and what if one cannot be kept or found?"""

from travelers.kit.refusals import gettext_noop, refusal

# Where they are kept, beneath the folder of all files.
FOLDER = "deliveries"
MOST_PAPERS = 30

TOO_MANY_PAPERS = refusal(
    "lumber.too_many_papers",
    gettext_noop("A delivery keeps {most} papers; this one would have {count}."),
    gettext_noop("Put several sheets into one PDF."),
    status=422,
)
NO_PAPER = refusal(
    "lumber.no_paper",
    gettext_noop("No paper was sent."),
    gettext_noop("Choose a PDF, a JPEG or a PNG first."),
    status=422,
)
PAPER_NOT_KEPT = refusal(
    "lumber.paper_not_kept",
    gettext_noop("The disk takes no more files; “{name}” was not kept."),
    gettext_noop(
        "Keep the paper itself, tell whoever looks after the server, and send it again."
    ),
    status=507,
)
PAPER_GONE = refusal(
    "lumber.paper_gone",
    gettext_noop("This paper is not kept here, or is not as it was stored."),
    gettext_noop("Tell the admin; a backup may still have it."),
    status=404,
)

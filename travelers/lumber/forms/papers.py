"""Can what was sent as papers be kept?"""

from collections.abc import Sequence

from django.core.files.uploadedfile import UploadedFile

from travelers.kit.papers import Paper, paper_of
from travelers.kit.refusals import Refusal
from travelers.lumber.rules import MOST_PAPERS, NO_PAPER, TOO_MANY_PAPERS


def papers_in(files: "Sequence[UploadedFile[bytes]]") -> list[Paper] | Refusal:
    """Look into each paper, or say what is wrong with the first that will not do."""
    if not files:
        return NO_PAPER
    if len(files) > MOST_PAPERS:
        return TOO_MANY_PAPERS.about(most=str(MOST_PAPERS), count=str(len(files)))
    papers: list[Paper] = []
    for file in files:
        made = paper_of(file.read(), size=file.size or 0, name=file.name or "")
        if isinstance(made, Refusal):
            return made
        papers.append(made)
    return papers

"""How do the papers of a delivery come to be kept?"""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from django.db import transaction

from travelers.kit.keeping import drop_files, keep_file
from travelers.kit.papers import Paper
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber import rules
from travelers.lumber.models import Delivery, DeliveryPaper
from travelers.shop.models import Person


def add_papers(
    *, delivery: str, papers: Sequence[Paper], by: Person, at: datetime
) -> int:
    """Keep papers with a delivery, all or none; say how many of them were new.

    What is sent twice is kept once.
    """
    files: list[Path] = []
    try:
        with transaction.atomic():
            return _add(delivery, papers, by, at, files)
    except BaseException:
        drop_files(files)
        raise


def _add(
    number: str, papers: Sequence[Paper], by: Person, at: datetime, files: list[Path]
) -> int:
    row = Delivery.objects.select_for_update().filter(number=number).first()
    if row is None:
        raise Refused(NOT_FOUND)
    known = set(row.files.values_list("sha256", flat=True))
    new = {paper.sha256: paper for paper in papers if paper.sha256 not in known}
    count = len(known) + len(new)
    if count > rules.MOST_PAPERS:
        raise Refused(
            rules.TOO_MANY_PAPERS.about(most=str(rules.MOST_PAPERS), count=str(count))
        )
    for at_number, paper in enumerate(new.values(), start=len(known) + 1):
        ending = paper.kind.lower()
        path = keep_file(paper.content, folder=rules.FOLDER, ending=ending)
        if path is None:
            raise Refused(rules.PAPER_NOT_KEPT.about(name=paper.title))
        files.append(path)
        DeliveryPaper.objects.create(
            delivery=row,
            number=at_number,
            title=paper.title,
            kind=paper.kind,
            name=path.name,
            sha256=paper.sha256,
            size=len(paper.content),
            added_at=at,
            added_by=by,
        )
    return len(new)

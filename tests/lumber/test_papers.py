"""Are a delivery's papers kept, found again, and handed to nobody else?"""

import shutil
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests import make
from tests.desk import client, text_of
from tests.kit.test_papers import pdf
from tests.kit.test_photos import picture
from travelers.lumber.models import DeliveryPaper
from travelers.lumber.rules import MOST_PAPERS

pytestmark = pytest.mark.django_db

PAGE, PAPERS = "/lumber/D001/", "/lumber/D001/papers/"


@pytest.fixture
def folder(shop: make.Shop, tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = str(tmp_path)
    shop.plank_set()
    return tmp_path / "deliveries"


def sent(*contents: bytes, name: str = "note 7.pdf") -> dict[str, Any]:
    return {"papers": [SimpleUploadedFile(name, content) for content in contents]}


def files(folder: Path) -> list[Path]:
    return sorted(folder.iterdir()) if folder.exists() else []


def test_papers_are_kept_and_handed_out(shop: make.Shop, folder: Path) -> None:
    lead = client(shop, "lead")
    note = pdf(pages=2)
    assert lead.post(PAPERS, sent(note, picture())).url == PAGE
    text = text_of(lead.get(PAGE))
    assert "2 papers are kept." in text
    assert "note 7.pdf" in text
    assert "Lead Cast" in text
    answer = client(shop, "qa").get(f"{PAPERS}1/")
    assert answer.content == note
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert (
        answer.headers["Content-Disposition"]
        == 'attachment; filename="D001-paper-1.pdf"'
    )
    second = lead.get(f"{PAPERS}2/")
    assert second.headers["Content-Type"] == "image/jpeg"
    assert len(files(folder)) == 2


def test_a_file_lies_under_no_address_of_its_own(shop: make.Shop, folder: Path) -> None:
    lead = client(shop, "lead")
    lead.post(PAPERS, sent(pdf(), name="../../x.pdf"))
    (file,) = files(folder)
    assert file.name == DeliveryPaper.objects.get().name
    for address in (f"/media/deliveries/{file.name}", f"/static/{file.name}"):
        assert lead.get(address).status_code == 404


def test_the_same_paper_twice_is_one(shop: make.Shop, folder: Path) -> None:
    lead = client(shop, "lead")
    note = pdf()
    lead.post(PAPERS, sent(note, note))
    lead.post(PAPERS, sent(note))
    assert "This is kept already." in text_of(lead.get(PAGE))
    assert DeliveryPaper.objects.count() == len(files(folder)) == 1


def test_of_papers_one_of_which_will_not_do_none_is_kept(
    shop: make.Shop, folder: Path
) -> None:
    answer = client(shop, "lead").post(PAPERS, sent(pdf(), b"MZ\x90"))
    assert answer.status_code == 422
    assert "is no PDF, JPEG or PNG" in text_of(answer)
    assert not DeliveryPaper.objects.exists()
    assert files(folder) == []


def test_nothing_sent_says_so(shop: make.Shop, folder: Path) -> None:
    answer = client(shop, "lead").post(PAPERS)
    assert answer.status_code == 422
    assert "No paper was sent." in text_of(answer)


def test_a_delivery_keeps_so_many_papers(shop: make.Shop, folder: Path) -> None:
    lead = client(shop, "lead")
    lead.post(PAPERS, sent(*(pdf(pages=n) for n in range(1, MOST_PAPERS + 1))))
    assert DeliveryPaper.objects.count() == MOST_PAPERS
    answer = lead.post(PAPERS, sent(pdf(pages=MOST_PAPERS + 1)))
    assert answer.status_code == 422
    assert len(files(folder)) == MOST_PAPERS


def test_a_full_disk_keeps_none(
    shop: make.Shop, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = type(shutil.disk_usage("/"))
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage(10**9, 10**9, 10**6))
    answer = client(shop, "lead").post(PAPERS, sent(pdf()))
    assert answer.status_code == 507
    assert not DeliveryPaper.objects.exists()


@pytest.mark.parametrize("harm", ["gone", "changed"])
def test_a_paper_that_is_not_as_it_was_is_not_handed_out(
    shop: make.Shop, folder: Path, harm: str
) -> None:
    lead = client(shop, "lead")
    lead.post(PAPERS, sent(pdf()))
    (file,) = files(folder)
    if harm == "gone":
        file.unlink()
    else:
        file.write_bytes(pdf(pages=3))
    assert lead.get(f"{PAPERS}1/").status_code == 404
    assert lead.get(f"{PAPERS}2/").status_code == 404


def test_who_reads_no_papers_does_not_see_them(shop: make.Shop, folder: Path) -> None:
    client(shop, "lead").post(PAPERS, sent(pdf()))
    joiner = client(shop, "joiner")
    assert "note 7.pdf" not in text_of(joiner.get(PAGE))
    assert joiner.get(f"{PAPERS}1/").status_code == 403
    assert client(shop, "qa").post(PAPERS, sent(pdf())).status_code == 403

"""S13: are photos of a defect kept safely, and is the defect never lost for them?"""

import errno
import shutil
from collections import namedtuple
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from bs4 import BeautifulSoup
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart
from PIL import Image

from tests import make
from tests.kit.test_photos import BAD, SECRET, exif, picture
from tests.quality.test_views import said
from tests.standing import kept
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.kit import keeping
from travelers.kit.photos import MOST_BYTES
from travelers.orders.models import Step
from travelers.quality.models import Defect, DefectPhoto

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PIECE = {"HX-Request": "true", "HX-Target": "report"}


@pytest.fixture
def folder(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = str(tmp_path)
    return tmp_path


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def step(shop: make.Shop) -> Step:
    body = shop.part(shop.instrument())
    shop.work(body, until="Machine")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    return step


@pytest.fixture
def joiner(shop: make.Shop) -> Client:
    client = Client()
    client.force_login(shop.cast.joiner)
    return client


def files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def sent(*contents: bytes, name: str = "photo.jpg") -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile(name, content, "image/jpeg") for content in contents]


def report(
    client: Client, step: Step, *photos: bytes, headers: Any = None, **other: Any
) -> Any:
    data = {**said(step), "note": "at the cutaway", **other, "photos": sent(*photos)}
    return client.post("/quality/report/", data, headers=headers)


def address(event: Event, number: int = 1) -> str:
    return f"/quality/defects/{event.event_id}/photo/{number}/"


@pytest.mark.twice
def test_a_defect_keeps_its_photos(
    joiner: Client, step: Step, folder: Path, shop: make.Shop
) -> None:
    answer = report(joiner, step, picture(exif=exif()), picture((30, 20)))
    assert answer.status_code == 302
    defect = Defect.objects.get()
    rows = list(defect.photos.order_by("number"))
    assert [(row.number, row.width, row.height) for row in rows] == [
        (1, 640, 480),
        (2, 30, 20),
    ]
    stored = {path.name: path.read_bytes() for path in files(folder)}
    assert stored.keys() == {row.name for row in rows}
    assert all(len(name) == len("0" * 32 + ".jpg") for name in stored)
    assert all(SECRET not in content for content in stored.values())
    event = Event.objects.get(kind="DEFECT")
    assert event.data["photos"] == [row.sha256 for row in rows]


def test_a_photo_is_served_as_what_it_is(
    joiner: Client, step: Step, folder: Path
) -> None:
    report(joiner, step, picture())
    event = Event.objects.get(kind="DEFECT")
    answer = joiner.get(address(event))
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    number = Defect.objects.get().pk
    assert answer.headers["Content-Disposition"] == (
        f'inline; filename="defect-{number}-1.jpg"'
    )
    assert "private" in answer.headers["Cache-Control"]
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert Image.open(BytesIO(answer.content)).size == (640, 480)


def test_who_has_no_role_does_not_see_it(
    joiner: Client, step: Step, folder: Path, shop: make.Shop
) -> None:
    report(joiner, step, picture())
    url = address(Event.objects.get(kind="DEFECT"))
    joiner.force_login(shop.cast.outsider)
    assert joiner.get(url).status_code == 403
    joiner.force_login(shop.cast.engineer)
    assert joiner.get(url).status_code == 200
    assert Client().get(url).status_code == 302
    name = files(folder)[0].name
    for guess in (
        f"/media/defects/{name}",
        f"/defects/{name}",
        f"/static/defects/{name}",
    ):
        assert joiner.get(guess).status_code == 404


def test_it_is_shown_with_the_defect_and_the_instrument(
    joiner: Client, step: Step, folder: Path, shop: make.Shop
) -> None:
    report(joiner, step, picture(), picture((30, 20)))
    event = Event.objects.get(kind="DEFECT")
    joiner.force_login(shop.cast.qa)
    pages = (
        f"/quality/defects/{Defect.objects.get().pk}/",
        f"/instrument/{step.instrument.serial}/",
    )
    for page in pages:
        shown = BeautifulSoup(joiner.get(page).content, "html.parser")
        found = shown.select("img[src*='/photo/']")
        assert [one["src"] for one in found] == [address(event), address(event, 2)]
        assert [one["alt"] for one in found] == [
            "Photo 1 of tear-out",
            "Photo 2 of tear-out",
        ]


@pytest.mark.parametrize("headers", [None, PIECE], ids=["plain", "htmx"])
@pytest.mark.parametrize("name", BAD)
def test_a_bad_photo_is_answered_in_words_and_the_form_is_kept(
    joiner: Client,
    step: Step,
    folder: Path,
    name: str,
    headers: dict[str, str] | None,
) -> None:
    content, code = BAD[name]
    answer = report(
        joiner,
        step,
        picture(),
        content,
        headers=headers,
        kind="TEAR_OUT",
        severity="STOP",
    )
    assert answer.status_code == 422
    page = BeautifulSoup(answer.content, "html.parser")
    assert code in page.get_text()
    assert page.select_one("[name=kind][value=TEAR_OUT][checked]")
    assert page.select_one("[name=severity][value=STOP][checked]")
    note = page.select_one("[name=note]")
    assert note
    assert note["value"] == "at the cutaway"
    assert [one["value"] for one in page.select("[name=x]:not([type=image])")][
        -1
    ] == "0.412"
    assert (page.select_one("html") is None) is (headers is not None)
    assert not Event.objects.filter(kind="DEFECT").exists()
    assert files(folder) == []


def test_too_many_and_too_large_are_told(
    joiner: Client, step: Step, folder: Path
) -> None:
    small = picture((30, 20))
    assert "kit.photo_too_many" in report(joiner, step, *[small] * 4).content.decode()
    large = small + b"\0" * MOST_BYTES
    assert "kit.photo_too_large" in report(joiner, step, large).content.decode()
    assert not Defect.objects.exists()
    assert files(folder) == []


def test_a_photo_is_told_by_its_content_not_by_its_name(
    joiner: Client, step: Step, folder: Path
) -> None:
    odd = SimpleUploadedFile("../../x.svg", picture(kind="PNG"), "image/svg+xml")
    answer = joiner.post("/quality/report/", {**said(step), "photos": [odd]})
    assert answer.status_code == 302
    assert [path.suffix for path in files(folder)] == [".jpg"]
    name = "<b>x</b>.jpg"
    bad = joiner.post(
        "/quality/report/", {**said(step), "photos": sent(b"no", name=name)}
    )
    assert b"<b>x" not in bad.content


def test_without_a_photo_all_is_as_before(
    joiner: Client, step: Step, folder: Path
) -> None:
    """A browser sends a file without a name where none was chosen."""
    nothing = (
        f"--{BOUNDARY}\r\n"
        'Content-Disposition: form-data; name="photos"; filename=""\r\n'
        "Content-Type: application/octet-stream\r\n\r\n\r\n"
    ).encode()
    rest = encode_multipart(BOUNDARY, said(step))
    answer = joiner.generic(
        "POST", "/quality/report/", nothing + rest, MULTIPART_CONTENT
    )
    assert answer.status_code == 302
    assert "photos" not in Event.objects.get(kind="DEFECT").data
    assert files(folder) == []


def test_with_htmx_the_whole_page_goes_back_to_work(
    joiner: Client, step: Step, folder: Path
) -> None:
    answer = report(joiner, step, picture(), headers=PIECE)
    assert answer.status_code == 200
    assert answer.headers["HX-Redirect"].startswith("/station/CUTTER/?code=")
    assert DefectPhoto.objects.count() == 1


def test_the_same_report_sent_again_keeps_the_photo_once(
    joiner: Client, step: Step, folder: Path
) -> None:
    once = said(step)
    for _ in range(2):
        answer = joiner.post("/quality/report/", {**once, "photos": sent(picture())})
        assert answer.status_code == 302
    assert DefectPhoto.objects.count() == 1
    assert len(files(folder)) == 1
    # A tablet that heard no answer tells of the same defect without its photos.
    for photos in ({}, {"photos": sent(picture((9, 9)))}):
        again = joiner.post("/quality/report/", {**once, **photos})
        assert again.status_code == 302
    assert len(files(folder)) == 1
    other = joiner.post("/quality/report/", {**once, "note": "another"})
    assert other.status_code == 422


def no_space(*args: Any, **options: Any) -> Any:
    raise OSError(errno.ENOSPC, "No space left on device")


def fill_while_writing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping.os, "fsync", no_space)


def leave_no_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "mkdir", no_space)


def leave_little_room(monkeypatch: pytest.MonkeyPatch) -> None:
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage(10**9, 10**9, 10**6))


@pytest.mark.twice
@pytest.mark.parametrize(
    "fill", [fill_while_writing, leave_no_folder, leave_little_room]
)
def test_a_full_disk_loses_the_photo_but_not_the_defect(
    joiner: Client,
    step: Step,
    folder: Path,
    shop: make.Shop,
    monkeypatch: pytest.MonkeyPatch,
    fill: Callable[[pytest.MonkeyPatch], None],
) -> None:
    with monkeypatch.context() as patched:
        fill(patched)
        answer = report(joiner, step, picture(), severity="STOP")
    assert answer.status_code == 302
    defect = Defect.objects.get()
    row = defect.photos.get()
    assert (row.name, len(row.sha256)) == ("", 64)
    assert Event.objects.get(kind="DEFECT").data["photos"] == [row.sha256]
    assert Event.objects.filter(kind="HOLD").exists()
    assert files(folder) == []
    page = joiner.get(answer.headers["Location"]).content.decode()
    assert "1 photo could not be kept: the disk has no room." in page
    joiner.force_login(shop.cast.qa)
    shown = joiner.get(f"/quality/defects/{defect.pk}/").content.decode()
    assert "Photo 1 was sent, but the disk had no room for it." in shown
    assert joiner.get(address(defect.event)).status_code == 404


@pytest.mark.twice
def test_a_report_that_is_undone_leaves_no_file(
    joiner: Client, step: Step, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*args: Any) -> None:
        assert len(files(folder)) == 1
        raise RuntimeError("the line to the database broke")

    monkeypatch.setattr("travelers.quality.actions.defects._hold_part", stop)
    with pytest.raises(RuntimeError):
        report(joiner, step, picture(), severity="STOP")
    assert files(folder) == []
    assert not Defect.objects.exists()


def test_a_file_that_was_changed_or_lost_is_not_shown(
    joiner: Client, step: Step, folder: Path
) -> None:
    report(joiner, step, picture())
    url = address(Event.objects.get(kind="DEFECT"))
    (path,) = files(folder)
    path.write_bytes(picture((9, 9)))
    assert joiner.get(url).status_code == 404
    path.unlink()
    answer = joiner.get(url)
    assert answer.status_code == 404
    assert "quality.photo_gone" in answer.content.decode()
    assert joiner.get(address(Event.objects.get(kind="DEFECT"), 2)).status_code == 404
    nobody = UUID(int=5)
    assert joiner.get(f"/quality/defects/{nobody}/photo/1/").status_code == 404

"""S13: does a file that is sent stay in memory, and bounded?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import RequestFactory

from travelers.kit import uploads
from travelers.kit.photos import MOST_BYTES


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    yield tmp_path
    assert list(tmp_path.iterdir()) == []


def sent(*sizes: int) -> list[Any]:
    files = [SimpleUploadedFile(f"{n}.jpg", b"x" * n) for n in sizes]
    request = RequestFactory().post("/", {"photos": files, "note": "still here"})
    assert request.POST["note"] == "still here"
    return request.FILES.getlist("photos")


def test_the_shop_uses_it() -> None:
    assert settings.FILE_UPLOAD_HANDLERS == ["travelers.kit.uploads.KeptInMemory"]


def test_a_photo_stays_in_memory(folder: Path) -> None:
    (one,) = sent(4_000_000)
    assert (one.size, len(one.read())) == (4_000_000, 4_000_000)


def test_of_a_file_too_large_only_the_size_is_known(folder: Path) -> None:
    large, small = sent(MOST_BYTES + 70_000, 10)
    assert (large.size, large.read()) == (MOST_BYTES + 70_000, b"")
    assert (small.size, small.read()) == (10, b"x" * 10)


def test_all_files_together_are_bounded_too(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(uploads, "MOST_TOGETHER", 250_000)
    kept = [(one.size, len(one.read())) for one in sent(100_000, 100_000, 100_000)]
    assert kept[:2] == [(100_000, 100_000)] * 2
    assert kept[2] == (MOST_BYTES + 1, 0)

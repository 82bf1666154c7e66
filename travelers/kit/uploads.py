"""What becomes of a file while it is being sent?  It stays in memory, and is bounded.

Django's own way writes larger files to the disk before any view has seen them, and
takes files of any size.
"""

from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import InMemoryUploadedFile, UploadedFile
from django.core.files.uploadhandler import FileUploadHandler

from travelers.kit.photos import MOST_BYTES

# Of one request, so that a hundred files of 15 MB do not fill the memory.
MOST_TOGETHER = 4 * MOST_BYTES


class KeptInMemory(FileUploadHandler):
    """Keep files in memory up to a size; of larger ones only the size is known."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.together = 0
        self.size = 0
        self.parts: list[bytes] = []

    def new_file(self, *args: Any, **options: Any) -> None:
        super().new_file(*args, **options)
        self.size, self.parts = 0, []

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        self.size += len(raw_data)
        self.together += len(raw_data)
        if self._fits:
            self.parts.append(raw_data)
        else:
            self.parts = []

    @property
    def _fits(self) -> bool:
        return self.size <= MOST_BYTES and self.together <= MOST_TOGETHER

    def file_complete(self, file_size: int) -> "UploadedFile[bytes]":
        size = self.size if self._fits else max(self.size, MOST_BYTES + 1)
        return InMemoryUploadedFile(
            BytesIO(b"".join(self.parts)),
            self.field_name,
            self.file_name or "",
            self.content_type or "",
            size,
            self.charset,
            self.content_type_extra,
        )

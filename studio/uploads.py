"""How much of an upload is read at all."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler, StopUpload

LARGEST_UPLOAD_BYTES = 2 * 1024 * 1024


class SizeLimitUploadHandler(FileUploadHandler):
    """Stops reading a file once it is larger than any score we take.

    The file is then missing from the form, and ``request.upload_too_large`` is True, so that the
    form can say so at its field.
    """

    chunk_size = 64 * 1024

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        self._seen = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        self._seen += len(raw_data)
        if self._seen > LARGEST_UPLOAD_BYTES:
            if self.request is not None:
                self.request.upload_too_large = True  # type: ignore[attr-defined]
            # The rest is read and thrown away, so that the answer still reaches the browser.
            raise StopUpload(connection_reset=False)
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None

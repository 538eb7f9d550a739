"""Uploaded files that wait for the next look."""

from __future__ import annotations

import pytest

from exercises.kept_files import keep_file, kept_file
from studio.uploads import LARGEST_UPLOAD_BYTES


class TestKeptFiles:
    def test_of_one_person_are_four_at_most(self) -> None:
        kept = [keep_file(user_pk=7, name=f"{n}.mid", content=b"x") for n in range(6)]

        still = [kept_file(user_pk=7, key=file.key) for file in kept]

        assert still == [None, None, *kept[2:]]
        assert kept_file(user_pk=8, key=kept[-1].key) is None

    def test_are_never_larger_than_an_upload(self) -> None:
        with pytest.raises(ValueError, match="at most"):
            keep_file(user_pk=7, name="a.mid", content=b"x" * (LARGEST_UPLOAD_BYTES + 1))

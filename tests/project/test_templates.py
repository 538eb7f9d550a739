"""No page carries style or script of its own: the security policy would refuse it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((PROJECT / "templates").rglob("*.html"))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_nothing_inline(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    assert not re.search(r"\sstyle\s*=", text)
    assert not re.search(r"<style\b", text)
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text)
    assert not re.search(r"hx-on|hx-vals=['\"]js:|javascript:", text)
    for script in re.findall(r"<script\b[^>]*>", text):
        assert "src=" in script or 'type="application/json"' in script, script


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_nothing_from_elsewhere(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    assert not re.search(r"(?:src|href|action)=[\"']https?://", text)

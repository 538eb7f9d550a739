"""The static files as a real studio serves them."""

from __future__ import annotations

import re
from pathlib import Path

from tests.project.test_production_settings import manage


def test_modules_import_one_another_by_their_hashed_names(tmp_path: Path) -> None:
    done = manage(tmp_path, "collectstatic", "--noinput", STUDIO_HOSTS="studio.example")
    assert done.returncode == 0, done.stderr[-500:]

    folder = tmp_path / "static" / "js"
    hashed = [path for path in folder.glob("*.js") if re.search(r"\.[0-9a-f]{12}\.js$", path.name)]
    imports = [
        name for path in hashed for name in re.findall(r'from\s*"\./([^"]+)"', path.read_text())
    ]

    assert len(imports) > 10
    assert [name for name in imports if not (folder / name).exists()] == []
    assert [name for name in imports if not re.search(r"\.[0-9a-f]{12}\.js$", name)] == []

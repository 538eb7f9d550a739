"""Print the project's figures: ``make bench``."""

from __future__ import annotations

import os
import platform
import sys

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")

import django

django.setup()

from tests.bench import contested, engine, engraving, pages, planning, terms  # noqa: E402

if __name__ == "__main__":
    print(f"Python {platform.python_version()} on {os.cpu_count()} processors")
    for section in (engine, engraving, pages, planning, terms, contested):
        if len(sys.argv) < 2 or section.__name__.rpartition(".")[2] in sys.argv[1:]:
            section.run()

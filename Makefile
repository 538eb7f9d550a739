# The one front door. PYTHON may name another interpreter (3.11 to 3.13).
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
DEMO = STUDIO_DATA=$(CURDIR)/var/demo STUDIO_HTTPS=0 STUDIO_HOSTS=$(HOSTS) STUDIO_ADDRESS=http://localhost:$(PORT)
HOSTS ?= localhost,127.0.0.1
PORT ?= 8000

.PHONY: run demo-reset test check test-fast coverage bench lock clean

run: $(VENV)/run.stamp ## open the studio with the demo scenario
	$(DEMO) $(BIN)/python manage.py serve --demo --port $(PORT)

demo-reset: ## throw the demo scenario away, so that the next `make run` writes a new one
	rm -rf var/demo

test: check ## all checks, then the whole suite
	$(BIN)/python -m pytest -n auto --dist loadfile

test-fast: $(VENV)/dev.stamp ## the suite without the browser
	$(BIN)/python -m pytest -n auto --dist loadfile -m "not browser"

check: $(VENV)/dev.stamp ## style, types, layers, migrations, production settings
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	STUDIO_DATA=var/check STUDIO_HOSTS=studio.example $(BIN)/python manage.py makemigrations --check --dry-run
	STUDIO_DATA=var/check STUDIO_HOSTS=studio.example $(BIN)/python manage.py check --deploy --fail-level WARNING

coverage: $(VENV)/dev.stamp ## which lines no test runs
	$(BIN)/coverage run -m pytest -m "not browser"
	$(BIN)/coverage report --skip-covered --show-missing

bench: $(VENV)/dev.stamp ## speed, each figure beside its baseline from the same run
	STUDIO_DATA=var/bench STUDIO_HTTPS=0 STUDIO_HOSTS=localhost,testserver $(BIN)/python -m tests.bench

lock: $(VENV)/dev.stamp ## pin all dependencies anew, with hashes
	$(BIN)/uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --extra timetable pyproject.toml -o requirements.txt
	$(BIN)/uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --extra timetable --extra dev pyproject.toml -o requirements-dev.txt

clean:
	rm -rf $(VENV) var

$(VENV)/bin/python:
	$(PYTHON) -c 'import sys; v = sys.version_info[:2]; sys.exit(0 if (3, 11) <= v <= (3, 13) else "Python 3.11 to 3.13 is needed; this is %d.%d. Name another: make PYTHON=python3.12 ..." % v)'
	$(PYTHON) -m venv $(VENV)

$(VENV)/run.stamp: requirements.txt | $(VENV)/bin/python
	$(BIN)/python -m pip install -q --disable-pip-version-check --require-hashes -r requirements.txt
	touch $@

$(VENV)/dev.stamp: requirements-dev.txt | $(VENV)/bin/python
	$(BIN)/python -m pip install -q --disable-pip-version-check --require-hashes -r requirements-dev.txt
	touch $@ $(VENV)/run.stamp

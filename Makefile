# `make demo` and `make test` need nothing but Python 3.11 or newer (with venv) and make: each sets up .venv first.

PYTHON ?= $(shell for one in python3.11 python3.12 python3.13 python3.14 python3; do \
	$$one -c 'import sys, venv; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && echo $$one && break; done)
VENV ?= .venv
OTHER_PYTHONS ?= python3.12 python3.13
# Where the tests make and drop databases of their own.
export BAGATELLE_TEST_POSTGRESQL_URL ?= postgresql://postgres@127.0.0.1:5432/postgres

BIN := $(VENV)/bin
DISTRIBUTIONS := shared service plugins/piano plugins/snare_drum
MORE := slow or postgresql or browser

.PHONY: help demo test format lint types imports pytest verify verify-more verify-pythons bench lock install

help:
	@echo "make demo     set up, start the service, print the plans of two routines; ONCE=1 stops it afterwards"
	@echo "make test     set up, then everything that needs Python alone"
	@echo "make verify   what needs a PostgreSQL, Chromium, other Pythons or patience"
	@echo "make bench    the benchmarks"
	@echo "make format   rewrite the code as make test wants it"
	@echo "make lock     pin what the pyprojects ask for; UPGRADE=1 takes the newest"

demo: $(VENV)/installed
	$(BIN)/python -m bagatelle_service.demo $(if $(filter-out 0,$(ONCE)),--once) $(if $(PORT),--port $(PORT))

test: lint types imports pytest
	@echo
	@echo "NOT RUN: tests on a real PostgreSQL (make verify)"
	@echo "NOT RUN: the docs page in Chromium, without internet (make verify)"
	@echo "NOT RUN: an installation from wheels, which downloads (make verify)"
	@echo "NOT RUN: slow tests: more instances against other solvers, more generated requests (make verify)"
	@echo "NOT RUN: the tests on other Python versions (make verify)"
	@echo "NOT RUN: benchmarks (make bench)"

format: $(VENV)/installed
	$(BIN)/ruff check --fix --exit-zero --quiet
	$(BIN)/ruff format

lint: $(VENV)/installed
	$(BIN)/ruff format --check
	$(BIN)/ruff check

types: $(VENV)/installed
	$(BIN)/mypy shared service plugins tests migrations

imports: $(VENV)/installed
	$(BIN)/lint-imports

pytest: $(VENV)/installed
	$(BIN)/python -m pytest --numprocesses auto --dist loadgroup -m "not ($(MORE))"

verify: verify-more verify-pythons

verify-more: $(VENV)/installed
	$(BIN)/python -m tests.needs_of_verify
	$(BIN)/python -m pytest --numprocesses auto --dist loadgroup -m "$(MORE)"

# A version that is not here is said, not missed: no one machine has them all.
verify-pythons:
	@for python in $(OTHER_PYTHONS); do \
		version=$$($$python -c 'import sys, venv; print("%d.%d" % sys.version_info[:2])' 2>/dev/null) || \
			{ echo "NOT RUN: the tests on $$python, which is not here"; continue; }; \
		$(MAKE) --no-print-directory pytest PYTHON=$$python VENV=.venv-$$version || exit 1; \
	done

bench: $(VENV)/installed
	$(BIN)/python -m tests.bench

install: $(VENV)/installed

# Two steps: pip takes no folder together with hashes.
$(VENV)/installed: $(VENV)/locked $(addsuffix /pyproject.toml,$(DISTRIBUTIONS))
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation $(addprefix --editable=,$(DISTRIBUTIONS))
	@touch $@

$(VENV)/locked: requirements.lock
	@test -n "$(PYTHON)" || { echo "Python 3.11 or newer with its venv module is needed, and none was found."; exit 1; }
	@echo "Setting up $(VENV): some minutes, once."
	$(PYTHON) -m venv --clear $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --requirement requirements.lock
	@touch $@

# Universal: one file for every platform and Python. It names no host: pip takes the one it is set to.
lock: $(VENV)/locked
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate \
		--no-emit-index-url --no-emit-package bagatelle $(if $(filter-out 0,$(UPGRADE)),--upgrade) \
		--group tools pyproject.toml $(addsuffix /pyproject.toml,$(DISTRIBUTIONS)) --output-file requirements.lock

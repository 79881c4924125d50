# `make demo` and `make test` need nothing but Python 3.11 or newer (with venv) and make: each sets up .venv first.

PYTHON ?= $(shell for one in python3.11 python3.12 python3.13 python3.14 python3; do \
	$$one -c 'import sys, venv; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && echo $$one && break; done)
VENV ?= .venv
OTHER_PYTHONS ?= python3.12 python3.13
# Where the tests make and drop databases of their own.
export BAGATELLE_TEST_POSTGRESQL_URL ?= postgresql://postgres@127.0.0.1:5432/postgres

BIN := $(VENV)/bin
COMPILED := .venv-compiled
DISTRIBUTIONS := shared service $(sort $(patsubst %/pyproject.toml,%,$(wildcard plugins/*/pyproject.toml)))
SOURCES := $(shell find $(DISTRIBUTIONS) migrations openapi -type f ! -name '*.pyc' 2>/dev/null)
MORE := slow or postgresql or browser or typescript
# Of the examples on which `make verify` tries the laws; a red run is red again.
SEED ?= 1

.PHONY: help demo test format lint types imports pytest verify verify-more verify-compiled verify-pythons bench wheels lock install

help:
	@echo "make demo     set up, start the service, print the plans of two routines; ONCE=1 stops it afterwards"
	@echo "make test     set up, then everything that needs Python alone"
	@echo "make verify   what needs a PostgreSQL, Chromium, Node.js, a C compiler, other Pythons or patience; SEED=2 tries the laws on other examples"
	@echo "make bench    the benchmarks, of the engine as a C compiler makes it; COMPILED= as Python runs it"
	@echo "make wheels   all distributions in dist/, with the engine as a C compiler makes it"
	@echo "make format   rewrite the code as make test wants it"
	@echo "make lock     pin what the pyprojects ask for; UPGRADE=1 takes the newest"

demo: $(VENV)/installed
	$(BIN)/python -m bagatelle_service.demo $(if $(filter-out 0,$(ONCE)),--once) $(if $(PORT),--port $(PORT))

test: lint types imports pytest
	@echo
	@echo "NOT RUN: tests on a real PostgreSQL (make verify)"
	@echo "NOT RUN: the docs page in Chromium, without internet (make verify)"
	@echo "NOT RUN: the walk of a day sheet in TypeScript, whose compiler is downloaded (make verify)"
	@echo "NOT RUN: an installation from wheels and the guide for plugin authors, which download (make verify)"
	@echo "NOT RUN: slow tests: more instances against other solvers, more generated requests (make verify)"
	@echo "NOT RUN: the engine as a C compiler makes it (make verify)"
	@echo "NOT RUN: the laws on more examples than a few (make verify)"
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

verify: verify-more verify-compiled verify-pythons

verify-more: $(VENV)/installed
	$(BIN)/python -m tests.needs_of_verify
	$(BIN)/python -m pytest --numprocesses auto --dist loadgroup -m "$(MORE)"

# The compiled engine gives the same answers: all tests of what it does, and none of how the project is kept.
verify-compiled: $(COMPILED)/installed
	@echo "The compiled engine; the laws each on 100 examples of seed $(SEED), or on as many as they name:"
	HYPOTHESIS_PROFILE=verify HYPOTHESIS_SEED=$(SEED) $(COMPILED)/bin/python -m pytest --numprocesses auto --dist loadgroup \
		-m "not ($(MORE))" --ignore=tests/unit/service tests/corpus tests/golden tests/outside tests/property tests/unit

# A version that is not here is said, not missed: no one machine has them all.
verify-pythons:
	@for python in $(OTHER_PYTHONS); do \
		version=$$($$python -c 'import sys, venv; print("%d.%d" % sys.version_info[:2])' 2>/dev/null) || \
			{ echo "NOT RUN: the tests on $$python, which is not here"; continue; }; \
		$(MAKE) --no-print-directory pytest PYTHON=$$python VENV=.venv-$$version || exit 1; \
	done

bench: $(or $(COMPILED),$(VENV))/installed
	$(or $(COMPILED),$(VENV))/bin/python -m tests.bench

wheels: dist/built
	@ls dist/*.whl

install: $(VENV)/installed

# Two steps: pip takes no folder together with hashes.
$(VENV)/installed: $(VENV)/locked $(addsuffix /pyproject.toml,$(DISTRIBUTIONS))
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation $(addprefix --editable=,$(DISTRIBUTIONS))
	@touch $@

%/locked: requirements.lock
	@test -n "$(PYTHON)" || { echo "Python 3.11 or newer with its venv module is needed, and none was found."; exit 1; }
	@echo "Setting up $*: some minutes, once."
	$(PYTHON) -m venv --clear $*
	$*/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes --requirement requirements.lock
	@touch $@

# Each wheel is built from its source distribution, so that nothing compiled lies beside the source and outlives it.
# No processor may fuse a product and a sum, as Python never does: the last bit would differ.
dist/built: $(COMPILED)/locked $(SOURCES)
	rm -rf dist
	@for distribution in $(DISTRIBUTIONS); do \
		echo "Building $$distribution" && CFLAGS=-ffp-contract=off HATCH_BUILD_HOOK_ENABLE_MYPYC=true \
			$(COMPILED)/bin/python -m build --no-isolation --outdir dist $$distribution >$(COMPILED)/build.log 2>&1 \
			|| { cat $(COMPILED)/build.log; exit 1; }; \
	done
	@touch $@

$(COMPILED)/installed: dist/built
	$(COMPILED)/bin/python -m pip install --quiet --no-deps --force-reinstall dist/*.whl
	@touch $@

# Universal: one file for every platform and Python. It names no host: pip takes the one it is set to.
lock: $(VENV)/locked
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate \
		--no-emit-index-url --no-emit-package bagatelle $(if $(filter-out 0,$(UPGRADE)),--upgrade) \
		--group tools pyproject.toml $(addsuffix /pyproject.toml,$(DISTRIBUTIONS)) --output-file requirements.lock

# Everything a person does with this project. `make help` lists it.
SHELL := bash
.SHELLFLAGS := -eu -o pipefail -c
MAKEFLAGS += --no-builtin-rules --no-print-directory
.DELETE_ON_ERROR:
.DEFAULT_GOAL := help

# Where `make run` serves. HOST=0.0.0.0 lets the tablets of the shop in.
HOST ?= 127.0.0.1
PORT ?= 8000
WORKERS ?= 2
export HOST PORT WORKERS
# What was compiled is kept: five workers and many servers read it in each run of tests.
unexport PYTHONDONTWRITEBYTECODE

# Tests and checks need a key, and it must not be a real one.
TEST_KEY := for-tests-and-checks-only-0123456789-abcdefghijklmnopqrstuvwxyz
WITH_KEY := SECRET_KEY=$(TEST_KEY)

BIN := .venv/bin
PYTHON_FILES := manage.py shopfloor travelers tests
TEMPLATES = $(shell find travelers -path '*/templates/*' -name '*.html')
PYTEST := $(BIN)/python -m pytest
# Tests that share a shop stay together, and whoever is done first takes from the others.
SHARED := --dist worksteal
PIP := $(BIN)/python -m pip --disable-pip-version-check -qq install --require-hashes

.PHONY: help
help: ## List what can be made
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | awk -F ':.*## ' '{printf "  make %-14s %s\n", $$1, $$2}'

# --- What everything else stands on: stamps say what has been installed.

$(BIN)/python:
	@.ci/venv

.venv/.base: requirements/base.txt | $(BIN)/python
	@echo "Installing what the shop needs to run (less than a minute)"
	@$(PIP) -r requirements/base.txt
	@touch $@

.venv/.dev: requirements/dev.txt .venv/.base
	@echo "Installing what the tests and checks need"
	@$(PIP) -r requirements/dev.txt
	@touch $@

.venv/.paper: .venv/.base
	@if .ci/system-packages run; then touch $@; \
	else echo "Going on without them: everything works but printing." >&2; fi

static_collected/staticfiles.json: $(shell find travelers -path '*/static/*' -type f) .venv/.base
	@$(WITH_KEY) $(BIN)/python manage.py collectstatic --no-input --clear --verbosity 0

# --- Run

.PHONY: run
run: .venv/.paper static_collected/staticfiles.json ## Serve the shop here, with the demo if it is empty (HOST, PORT)
	@exec .ci/serve

.PHONY: demo
demo: .venv/.base ## Throw this folder's database away and load the demo afresh
	@rm -f shop.sqlite3 shop.sqlite3-journal shop.sqlite3-wal shop.sqlite3-shm
	@$(WITH_KEY) $(BIN)/python manage.py migrate --no-input --verbosity 0
	@$(WITH_KEY) $(BIN)/python manage.py load_demo

# --- Test

.PHONY: setup
setup: .venv/.dev ## Install all that tests and checks need
	@.ci/system-packages test || { [[ -z "$${CI:-}" ]] || exit 1; \
		echo "Going on: tests that need these will fail." >&2; }

.PHONY: test
test: test-sqlite test-pg ## Run all tests, on SQLite and on PostgreSQL

.PHONY: test-sqlite
test-sqlite: setup ## Run all tests on SQLite
	@$(PYTEST) -n 3 $(SHARED)

.PHONY: test-browser
test-browser: setup ## Run only the tests that drive a browser
	@$(PYTEST) -n 3 $(SHARED) -m browser

.PHONY: test-pg
test-pg: setup ## Run what two databases could answer differently on a PostgreSQL of its own
	@if .ci/system-packages postgres; then \
		.ci/postgres $(PYTEST) -n 2 $(SHARED) -m "database and not browser and not again and (twice or not once)"; \
	else \
		echo "================================================================"; \
		echo "NOT RUN on PostgreSQL: there is no server to start on this machine."; \
		echo "================================================================"; \
		[[ -z "$${CI:-}" ]]; \
	fi

.PHONY: bench
bench: setup ## Measure this machine: a table of figures, aims and what was missed
	@$(WITH_KEY) $(BIN)/python -m tests.bench

# How many seconds the loads of the drill last.
DURATION ?= 300
DRILL := env DRILL=full $(PYTEST) tests/drill tests/floor/test_races.py \
	tests/floor/test_fold.py tests/floor/test_undo_model.py tests/demo/test_lived.py \
	tests/outbox/test_intake.py tests/planning/test_day_counts.py \
	tests/paper/test_symbols.py tests/quality/test_trace.py \
	-q -p no:randomly --timeout 7200
LOADS := $(BIN)/python -W ignore -m tests.bench tablets idle --seconds $(DURATION)

.PHONY: drill
drill: setup ## Prove at length that nothing scanned is lost (an hour or two; DURATION of loads)
	@$(DRILL)
	@$(WITH_KEY) $(LOADS)
	@if .ci/system-packages postgres; then \
		.ci/postgres $(PYTEST) -n 2 $(SHARED) -m "once or (database and again and not browser)" && \
		.ci/postgres $(DRILL) && .ci/postgres --durable env $(WITH_KEY) $(LOADS); \
	else \
		echo "NOT RUN on PostgreSQL: there is no server to start on this machine."; \
	fi

# --- Check: if it is not here it is not a rule.

CHECKS := check-style check-format check-types check-imports check-templates check-idioms \
	check-spelling check-migrations check-settings check-deployment check-house

.PHONY: check
check: .venv/.dev ## Check style, types, imports, templates, settings and house rules
	@$(MAKE) --keep-going --jobs=2 --output-sync=target $(CHECKS)

.PHONY: $(CHECKS)
check-style:
	@$(BIN)/ruff check $(PYTHON_FILES)
check-format:
	@$(BIN)/ruff format --check --quiet --diff $(PYTHON_FILES)
check-types:
	@$(WITH_KEY) $(BIN)/mypy
check-imports:
	@$(WITH_KEY) $(BIN)/lint-imports --no-logo
check-templates:
	@$(BIN)/djlint --lint --quiet travelers
	@$(BIN)/djhtml --check --tabwidth 2 $(TEMPLATES)
check-idioms:
	@git ls-files -z --cached --others --exclude-standard '*.py' | xargs -0 $(BIN)/django-upgrade --target-version 5.2 --check
check-spelling:
	@$(BIN)/typos
check-migrations:
	@$(WITH_KEY) $(BIN)/python manage.py makemigrations --check --dry-run
check-settings:
	@$(WITH_KEY) $(BIN)/python -W error manage.py check --fail-level WARNING
check-deployment:
	@SECRET_KEY=$(TEST_KEY) HTTPS=1 ALLOWED_HOSTS=shop.example DATABASE_URL=postgres://shop@/shop \
		$(BIN)/python manage.py check --deploy --fail-level WARNING
check-house:
	@$(PYTEST) -q tests/house

.PHONY: fix
fix: .venv/.dev ## Let the machine mend what it can
	@$(BIN)/ruff check --fix --quiet $(PYTHON_FILES) || true
	@$(BIN)/ruff format $(PYTHON_FILES)
	@git ls-files -z --cached --others --exclude-standard '*.py' | xargs -0 $(BIN)/django-upgrade --target-version 5.2 || true
	@$(BIN)/djhtml --tabwidth 2 $(TEMPLATES) || true
	@$(BIN)/typos --write-changes || true

.PHONY: docs
docs: .venv/.dev ## Draw the generated documents afresh
	@$(WITH_KEY) $(BIN)/python -m tests.house.generate_docs

# --- Now and then

LOCK := $(BIN)/uv pip compile --universal --python-version 3.11 --generate-hashes \
	--no-emit-index-url --no-emit-find-links --quiet --custom-compile-command "make lock"

.PHONY: lock
lock: .venv/.dev ## Lock the requirements anew (UPGRADE=1 takes newer releases)
	@$(LOCK) $(if $(UPGRADE),--upgrade) requirements/base.in --output-file requirements/base.txt
	@$(LOCK) $(if $(UPGRADE),--upgrade) requirements/dev.in --output-file requirements/dev.txt

.PHONY: vendor
vendor: ## Copy the tablets' vendored files afresh (needs Node; the copies are committed)
	@.ci/vendor

# The languages beside English; shopfloor/settings.py offers the same.
LANGUAGES := es

.PHONY: messages
messages: .venv/.dev ## Collect texts for the translators and compile their work
	@.ci/system-packages messages
	@$(WITH_KEY) $(BIN)/python manage.py makemessages $(addprefix --locale=,$(LANGUAGES)) \
		--no-obsolete --add-location file --ignore '.*' --ignore tests --ignore static_collected
	@$(WITH_KEY) $(BIN)/python manage.py compilemessages --ignore '.*'

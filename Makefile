# make demo   set everything up, work out the example room, invent a life in it, and serve it as a live drawing until Ctrl-C
# make test   set everything up and run every check
# make bench  measure what must be fast, beside what a user would run instead
# make docs   write the reference pages and pictures that are made from the program
# make screenshots   take README's pictures of the app anew

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
OUT := demo-output

.PHONY: demo test bench lint types docs screenshots browser postgresql clean

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "tankwright needs Python 3.11 or newer; set PYTHON=..."; exit 1; }
	@$(PYTHON) -m venv $(VENV) 2>/dev/null || { \
		echo "Python's venv module is missing; installing Debian's python3-venv"; rm -rf $(VENV); \
		{ apt-get update -qq && apt-get install -y -qq python3-venv && $(PYTHON) -m venv $(VENV); } || { \
		rm -rf $(VENV); echo "No virtual environment could be made. As root: apt-get install python3-venv, then again."; exit 1; }; }

$(VENV)/run-time: $(VENV)/bin/python pyproject.toml
	@echo "Setting up (about a minute the first time)"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	@touch $@

$(VENV)/development: $(VENV)/run-time
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[test,verify,bench]'
	@touch $@

demo: $(VENV)/run-time
	@$(BIN)/python -m tankwright demo examples/cellar.toml --into $(OUT)
	@test -e $(OUT)/cellar.toml || cp examples/cellar.toml $(OUT)/  # yours to change
	@$(BIN)/python -m tankwright open $(OUT)/cellar.toml

lint: $(VENV)/development
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports

types: $(VENV)/development
	$(BIN)/mypy

# The tests look at the pages in Debian's own browser.
browser:
	@command -v chromium >/dev/null || { \
		echo "Installing Debian's chromium, which the tests look at the pages with"; \
		as=; [ "$$(id -u)" = 0 ] || as="sudo -n"; \
		{ $$as apt-get update -qq && $$as env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium fonts-dejavu-core; } >/dev/null || { \
		echo "No browser for the tests. As root: apt-get install chromium fonts-dejavu-core, then again."; exit 1; }; }

# The tests keep a logbook in Debian's own PostgreSQL too. They start servers of their own in a folder of their own;
# Debian's usual one is neither made nor started.
postgresql:
	@ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null || { \
		echo "Installing Debian's postgresql, which the tests keep a logbook in"; \
		as=; [ "$$(id -u)" = 0 ] || as="sudo -n"; \
		{ $$as apt-get update -qq && $$as env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq postgresql-common && \
		$$as sed -i 's/^#*create_main_cluster.*/create_main_cluster = false/' /etc/postgresql-common/createcluster.conf && \
		$$as env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq postgresql; } >/dev/null || { \
		echo "No PostgreSQL for the tests. As root: apt-get install postgresql, then again."; exit 1; }; }

test: browser postgresql lint types
	$(BIN)/python -m pytest -n 2 --dist worksteal

bench: browser $(VENV)/development
	$(BIN)/python -m benchmarks

docs: $(VENV)/development
	$(BIN)/python docs/generate.py
	$(BIN)/python docs/texts.py

screenshots: browser $(VENV)/development
	$(BIN)/python docs/screenshots.py

clean:
	rm -rf $(VENV) $(OUT) bench-output build dist src/*.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis

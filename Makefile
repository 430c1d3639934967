# Two commands a newcomer needs: `make demo` and `make test`. Everything lives in .venv.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PORT ?= 8350
DATA ?= data

.PHONY: demo test check format serve bench clean

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Python 3.11 or newer is needed; set PYTHON=/path/to/python3.11"; exit 1; }
	@$(PYTHON) -c 'import ensurepip' 2>/dev/null || sh .ci/install-debian python3-venv
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run: pyproject.toml constraints.txt | $(BIN)/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e .
	@touch $@

$(VENV)/.dev: $(VENV)/.run
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	@touch $@

# The models that see bodies in film, for the tests; nothing is fetched where they are whole.
$(VENV)/.models: src/hoopwright/film/models.py | $(VENV)/.run
	HOOPWRIGHT_MODELS=$(VENV)/models $(BIN)/hoopwright film prepare
	@touch $@

# Load the invented academy and serve its pages on this machine only. Charts work without models.
demo: $(VENV)/.run
	@$(BIN)/hoopwright film prepare --data $(DATA) || echo "Until then, film shows the ball only."
	$(BIN)/hoopwright demo --data $(DATA) --port $(PORT)

serve: $(VENV)/.run
	$(BIN)/hoopwright serve --data $(DATA) --port $(PORT)

# Everything CI runs: formatting, lint, types, layers, then the whole suite.
test: check $(VENV)/.models
	HOOPWRIGHT_REQUIRE_MODELS=1 HOOPWRIGHT_MODELS=$(CURDIR)/$(VENV)/models \
	  $(BIN)/python -m pytest -n 2 --dist worksteal

check: $(VENV)/.dev
	$(BIN)/ruff format --check src tests benchmarks
	$(BIN)/ruff check src tests benchmarks
	$(BIN)/mypy
	$(BIN)/lint-imports

format: $(VENV)/.dev
	$(BIN)/ruff format src tests benchmarks
	$(BIN)/ruff check --fix src tests benchmarks

bench: $(VENV)/.dev $(VENV)/.models
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[bench]'
	$(BIN)/python benchmarks/flight_speed.py
	$(BIN)/python benchmarks/findings_speed.py
	$(BIN)/python benchmarks/film_reading.py
	HOOPWRIGHT_MODELS=$(VENV)/models $(BIN)/python benchmarks/pose_speed.py

clean:
	rm -rf $(VENV) test-output

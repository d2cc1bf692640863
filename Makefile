# One command each: `make demo`, `make test`. They make their own .venv; a second call does nothing it need not.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready

.PHONY: demo test soak bench pictures fmt docs clean

$(READY): pyproject.toml constraints.txt
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "riser needs Python 3.11 or newer")'
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	touch $(READY)

demo: $(READY)
	$(BIN)/riser demo build/demo --again

test: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/pytest

soak: $(READY)
	$(BIN)/python -m tests.soak

bench: $(READY)
	$(BIN)/python -m benchmarks

pictures: $(READY)
	$(BIN)/python -m docs.pictures

docs: $(READY)
	$(BIN)/python -m docs.generate

fmt: $(READY)
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

clean:
	rm -rf $(VENV) build

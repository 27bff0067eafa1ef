# Two commands do everything on a fresh machine: `make demo` and `make test`.

PYTHON ?= python3
BIN := .venv/bin

.PHONY: demo test fast bench bench-quick pictures sample words clean

demo: .venv/ready        ## Run a night on the invented network that ships with Longrow, and show it.
	$(BIN)/longrow demo

test: fast               ## Everything that CI runs, two files at a time.
	$(BIN)/pytest -n 2 --dist loadfile

fast: .venv/ready        ## Style and types, in seconds.
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

bench: .venv/ready       ## Speed and coverage, as ratios measured in one run.
	for each in tests/benchmarks/bench_*.py; do echo "$$each"; $(BIN)/python $$each || exit 1; done

bench-quick: .venv/ready ## Coverage from 1,000 networks a cell in place of 10,000, and speed.
	$(BIN)/python -m tests.benchmarks.bench_coverage --quick
	$(BIN)/python -m tests.benchmarks.bench_response

pictures: .venv/ready    ## Every page on both papers and at both widths, as a contact sheet; the README's pictures.
	$(BIN)/python -m tests.browser.pictures

sample: .venv/ready      ## Make the uploads in sample_data/ again from their seed.
	$(BIN)/python -m sample_data.make

words: .venv/ready       ## Bring translations and the catalogue of checks up to the code; names texts that lack Spanish.
	$(BIN)/python -m pipeline.words.collect
	$(BIN)/longrow checks --markdown > pipeline/checks/CATALOGUE.md

.venv/ready: pyproject.toml constraints.txt
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Longrow needs Python 3.11 or newer.")'
	$(PYTHON) -m venv .venv
	$(BIN)/pip install --quiet --disable-pip-version-check --constraint constraints.txt --editable ".[dev]"
	touch .venv/ready

clean:                   ## Remove the environment and the demo network.
	rm -rf .venv longrow-demo

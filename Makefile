# make help says what there is.
.PHONY: help demo test fast lint bench clean ready ready-dev
.NOTPARALLEL:
MAKEFLAGS += --no-print-directory

PYTHON_IN_VENV := .venv/bin/python
# Two more than there are processors: many tests wait for a process of their own.
WORKERS := $(shell expr $$(nproc) + 2)
WITH_SIMULATOR := simulation checks workers grading strength properties pytest_plugin end_to_end benchmarks

help: ## say what there is
	@sed -n 's/^\([a-z]*\):.*## /  make \1\t/p' Makefile | expand -t 16

demo: ready ## check all worked designs, and see a flawed one caught
	@$(PYTHON_IN_VENV) rtl_examples/demo.py

test: ready-dev ## run every test
	@$(PYTHON_IN_VENV) -m pytest --numprocesses $(WORKERS) --dist worksteal $(ARGS)

fast: ready-dev ## run the tests that need no simulator
	@$(PYTHON_IN_VENV) -m pytest --numprocesses auto $(WITH_SIMULATOR:%=--ignore=tests/%) $(ARGS)

lint: ready-dev ## style, formatting and types
	@$(PYTHON_IN_VENV) -m ruff check .
	@$(PYTHON_IN_VENV) -m ruff format --check .
	@$(PYTHON_IN_VENV) -m mypy

bench: ready-dev ## measure the speed
	@$(PYTHON_IN_VENV) -m pytest tests/benchmarks --capture=no $(ARGS)

clean: ## remove everything that was made here
	@rm -rf .venv .everyedge build dist *.egg-info .pytest_cache .mypy_cache .ruff_cache .hypothesis
	@find . -name __pycache__ -type d -prune -exec rm -rf {} +

ready:
	@.ci/setup run

ready-dev:
	@.ci/setup dev

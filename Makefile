.DEFAULT_GOAL := help
.PHONY: help run test bench lint format

help: ## Say what each command does
	@awk -F ':.*## ' '/^[a-z]+:.*## / {printf "  make %-8s%s\n", $$1, $$2}' Makefile

run: ## Start Ladlework with a demo practice; Ctrl-C stops it (PORT=8000)
	@.ci/start

test: ## Run every check and test (a slice: make test only=tests/plans)
	@.ci/test $(only)

bench: ## Measure speed against named baselines (one: make bench only=board)
	@.ci/bench $(only)

lint: ## Run the static checks only
	@.ci/lint

format: ## Put code and templates into the house form
	@.ci/format

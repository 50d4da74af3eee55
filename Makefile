# Two targets matter: `make demo` (see it) and `make test` (prove it).
SHELL := /bin/bash
BIN   := bin/tackline
BUILT := web/static/built/app.js
FRONT := $(shell find web -name '*.ts' -o -name '*.css' -not -path '*/built/*' 2>/dev/null) package.json

.PHONY: demo test build front lint unit browser bench bench-full optima quality pictures examples docs clean deps

demo: build        ## build, make the demo plant if there is none, plan it and serve it
	$(BIN) demo

build: $(BUILT)    ## leave the one binary, front end inside, at bin/tackline
	CGO_ENABLED=0 go build -trimpath -ldflags "-s -w -X main.version=$$(git describe --always --dirty 2>/dev/null || echo unknown)" -o $(BIN) ./cmd/tackline

front: $(BUILT)

$(BUILT): $(FRONT) node_modules/.ready
	npm run --silent build

node_modules/.ready: package-lock.json
	@scripts/need.sh node npm
	npm ci --no-audit --no-fund --loglevel=error
	@touch $@

test: build lint unit browser   ## everything: types, vet, lint, unit, property, reference, fuzz seeds, browser

lint:            ## format, vet, staticcheck, types
	@test -z "$$(gofmt -l $$(git ls-files '*.go'))" || { echo "gofmt these:"; gofmt -l $$(git ls-files '*.go'); exit 1; }
	go vet ./...
	go tool staticcheck ./...
	npm run --silent typecheck

unit:            ## all Go tests; the store on PostgreSQL too
	@test -d "$${TACKLINE_REFERENCE:-../shared/reference}/jobshop" || \
	  echo "NOT TESTED: published instances: no folder of them at ../shared/reference or in TACKLINE_REFERENCE." >&2
	go test ./...
	scripts/postgres.sh
	go test -race -skip SmallOptima ./flow ./store/... ./formula ./schedule/search

browser: build
	@scripts/need.sh chromium
	npm run --silent e2e

bench: build       ## measure speed, size and the search on a subset of published instances, about an hour; writes bench/RESULTS.md
	scripts/bench.sh

bench-full: build  ## the same on all published instances, and a constraint solver beside; many hours
	scripts/bench.sh --full

quality:           ## write bench/quality.tsv anew: what the search reaches with a fixed work budget, minutes
	go test ./cli -run TestQuality -count 1 -timeout 60m -update -all

optima:            ## prove the optima of the small test plants anew with a constraint solver; some ten minutes
	scripts/optima.sh

pictures: build    ## screenshots of every sheet in both themes under docs/pictures
	@scripts/need.sh chromium
	npm run --silent pictures

examples: build    ## write examples/ anew from code
	$(BIN) demo --write-examples examples

docs:              ## write the generated parts of docs/ anew
	go test ./exchange ./formula -run Docs -update

clean:
	rm -rf bin web/static/built/*.js web/static/built/*.css node_modules data

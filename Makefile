# Everything here needs Go; `test` and `test-pages` need Node and a Chromium too.
CHROMIUM ?= $(shell command -v chromium || command -v chromium-browser || command -v google-chrome)
FUZZTIME ?= 60s
BENCH    ?= .
COUNT    ?= 1

TOOL  = go tool -modfile=tools/go.mod
BUILD = CGO_ENABLED=0 go build -trimpath -ldflags "-s -w"

help: ## list what can be made
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  make %-12s %s\n", $$1, $$2 }' Makefile

demo: build ## grow the invented programme and open its notebook
	bin/dawnround demo

build: core ## one static binary, bin/dawnround, with the field program in it
	$(BUILD) -o bin/dawnround ./cmd/dawnround

# What opens a notebook is inlined as usual; the rest is not, and the phone loads
# a tenth less. Node, where there is one, packs it a quarter smaller than gzip does.
HOT = encoding/json reflect strconv unicode/utf8 crypto/internal/fips140/aes/... crypto/internal/fips140/alias \
  crypto/internal/fips140/subtle crypto/internal/fips140/sha256 crypto/internal/fips140deps/... \
  dawnround/notebook/... dawnround/record dawnround/register
COREFLAGS = -trimpath -gcflags=all=-l $(HOT:%=-gcflags=%=)

core-flags:
	@echo $(COREFLAGS)

core: ## the field program's core, compiled for browsers, into field/built
	rm -f field/built/core.wasm*
	GOOS=js GOARCH=wasm go build $(COREFLAGS) -ldflags "-s -w" -o field/built/core.wasm ./cmd/fieldcore
	@if command -v node >/dev/null; then node tools/brotli.mjs field/built/core.wasm; else gzip -9 -n -f field/built/core.wasm; fi
	@rm -f field/built/core.wasm; ls -l field/built | awk '/core/ { print $$9, $$5, "bytes" }'
	cp "$$(go env GOROOT)/lib/wasm/wasm_exec.js" field/built/

generate: ## write the Go code of every .templ page
	$(TOOL) templ generate

test: browser test-go test-pages ## everything that must pass

test-go: ## vet and the Go tests
	go vet ./...
	go test ./...

test-pages: browser build ## the pages in a real browser
	cd e2e && npm ci --silent && CHROMIUM="$(CHROMIUM)" npm test --silent

pictures: browser ## the README's pictures, anew from the demo
	go test -c -o bin/dawnround-by-clock ./cmd/dawnround
	cd e2e && npm ci --silent && CHROMIUM="$(CHROMIUM)" DAWNROUND=../bin/dawnround-by-clock node pictures.mjs

browser:
	@command -v npm >/dev/null || { echo "the browser tests need Node 20 or later with npm, and there is none: apt-get install nodejs npm"; exit 1; }
	@test -x "$(CHROMIUM)" || { echo "the browser tests need a Chromium, and there is none ('$(CHROMIUM)'):"; \
	  echo "  apt-get install chromium      or name one: make test CHROMIUM=/path/to/chromium"; \
	  echo "  make test-go                  runs the tests that need no browser"; exit 1; }

race: ## the Go tests, watched for data races
	go test -race ./...

sim: ## a thousand simulated crews on bad ways
	SIM_SEEDS=1000 go test -count 1 -timeout 60m -run '^TestSimulatedCrew$$' -v ./courier | grep -v '^=== RUN\|--- PASS: TestSimulatedCrew/'

fuzz: ## every fuzz target for FUZZTIME, one after another
	@set -e; for package in $$(go list ./...); do \
	  for target in $$(go test -list '^Fuzz' $$package | grep '^Fuzz'); do \
	    echo "$$package $$target"; \
	    go test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) $$package; \
	  done; done

bench: ## benchmarks: make bench BENCH=Fold COUNT=10 > new.txt
	@go test -run '^$$' -bench '$(BENCH)' -benchmem -count $(COUNT) ./...

simulate-growth: ## growth curves against known truth, the table of docs/growth-simulations.md
	go test -count 1 -timeout 0 -run TestSimulations -v ./growth/fitting -args -replicates 2000

bench-field: browser build ## the field program's budgets, in a browser slowed four times
	cd e2e && npm ci --silent && CHROMIUM="$(CHROMIUM)" node --test-reporter=spec field-bench.mjs

compare: ## two benchmark files, old.txt and new.txt
	@$(TOOL) benchstat old.txt new.txt

lint: ## formatting, vet, staticcheck, stale pages
	@bad=$$(gofmt -l .); test -z "$$bad" || { echo "not formatted; run gofmt -w on:"; echo "$$bad"; exit 1; }
	go vet ./...
	$(TOOL) staticcheck ./...
	$(TOOL) templ generate -check

cross: ## binaries for Windows, macOS and Linux in dist/
	@set -e; for system in windows darwin linux; do for processor in amd64 arm64; do \
	  file=dist/dawnround-$$system-$$processor; test $$system != windows || file=$$file.exe; \
	  echo $$file; GOOS=$$system GOARCH=$$processor $(BUILD) -o $$file ./cmd/dawnround; \
	done; done

clean: ## remove what was made here
	rm -rf bin dist e2e/out e2e/node_modules field/built/core.wasm* field/built/wasm_exec.js

.DEFAULT_GOAL = help
.PHONY: help demo build core core-flags generate test test-go test-pages pictures browser race fuzz bench simulate-growth compare lint cross clean

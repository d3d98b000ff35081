# The work on packyard. `make test` is what counts; `make demo` shows the program.

GO ?= go
FUZZTIME ?= 2s

.PHONY: build demo test lint needs race fuzz golden changelog bench

build:
	$(GO) build -trimpath -o bin/packyard ./cmd/packyard

demo: build
	bin/packyard options examples/orchard-truck
	@echo
	@echo "Where to look next:"
	@echo "  bin/packyard options examples/orchard-truck --explain ID   how the numbers of one option came about"
	@echo "  bin/packyard drive examples/orchard-truck                  the chosen option on its schedule"
	@echo "  bin/packyard check examples/orchard-truck                  faults of the project file, with their places"
	@echo "  examples/orchard-truck/packyard.yaml                       the project itself; change it and run again"
	@echo "  README.md, docs/method/                                    what is computed and what holds it"

# The plain run comes last, so that its closing lines end the output.
test: needs lint
	scripts/fuzz.sh $(FUZZTIME)
	$(GO) test -race -timeout 20m $$(scripts/concurrent.sh)
	$(GO) test -timeout 20m ./...

needs:
	@scripts/needs.sh

lint:
	@files=$$(gofmt -l .); if [ -n "$$files" ]; then echo "gofmt changes these files:"; echo "$$files"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

race:
	$(GO) test -race -timeout 20m $$(scripts/concurrent.sh)

fuzz:
	scripts/fuzz.sh 30s

# Rewrites the golden files; read the difference before it is committed.
golden:
	PACKYARD_GOLDEN=update $(GO) test -count=1 ./...
	git --no-pager diff --stat

changelog:
	PACKYARD_GOLDEN=update $(GO) test -count=1 -run '^TestChangelogHoldsEveryNote$$' .

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

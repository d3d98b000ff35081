# The work on packyard. `make test` is what counts; `make demo` shows the program.

GO ?= go
FUZZTIME ?= 2s

.PHONY: build web web-test demo test lint needs race fuzz golden changelog bench

# With the pages of the workbench where Node is there to make them.
build:
	@scripts/web.sh try
	$(GO) build -trimpath -o bin/packyard ./cmd/packyard

# The pages of the workbench, into server/dist. Needs Node; without them the
# program serves a page that says so.
web:
	scripts/web.sh build

web-test: needs build
	scripts/web.sh test

demo: build
	bin/packyard options examples/orchard-truck
	@echo
	@echo "The same live, in the browser (what is changed there is written to the example's packyard.yaml; Undo takes it back):"
	@echo "  bin/packyard open examples/orchard-truck"
	@echo
	@echo "packyard is bin/packyard here. Read on:"
	@echo "  examples/orchard-truck/README.md   what these packs mean for the builder, and how each goes over his road"
	@echo "  docs/guide.md                      a project of your own, from new to drive"
	@echo "  README.md, docs/README.md          what is computed, and what it is held against"

# The plain run comes last, so that its closing lines end the output.
test: needs lint web-test
	scripts/fuzz.sh $(FUZZTIME)
	$(GO) test -race -short -timeout 20m $$(scripts/concurrent.sh)
	$(GO) test -timeout 20m ./...

needs:
	@scripts/needs.sh

lint:
	@files=$$(gofmt -l .); if [ -n "$$files" ]; then echo "gofmt changes these files:"; echo "$$files"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

race:
	$(GO) test -race -short -timeout 20m $$(scripts/concurrent.sh)

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

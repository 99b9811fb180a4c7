# The front door. `make help` lists what there is; the build itself is in meson.build.

prefix ?= /usr/local
# The folders of the builds: optimised for use; for the tests; under the sanitizers; to measure.
DEMO = build/demo
TEST = build/test
SANE = build/check
BENCH = build/bench

SOURCES = $(shell git ls-files --cached --others --exclude-standard '*.c' '*.h')
UNITS = $(shell git ls-files --cached --others --exclude-standard 'src/*.c' 'app/*.c')

.PHONY: help demo test check bench fuzz install format layers tables words lint sanitized clean picture looks build-demo build-test
.DEFAULT_GOAL := help

help:
	@echo 'make demo     set up, build, judge examples/heron and draw its sheets into out/heron'
	@echo 'make test     set up, build and run every test'
	@echo 'make check    the tests under sanitizers, format, lint, layers, tables, words'
	@echo 'make bench    how fast it is, against the solver library and against size'
	@echo 'make fuzz     feed the readers with damaged input for SECONDS=60 each'
	@echo 'make install  into $$(DESTDIR)$$(prefix); prefix is $(prefix)'
	@echo 'make format   lay out the sources anew'
	@echo 'make clean    remove build and out'

# --- building ---

# $(call configure,FOLDER,OPTIONS): once; what it says is shown only if it fails.
comma = ,
configure = @test -f $(1)/build.ninja || { echo 'Building in $(1).' && mkdir -p build && meson setup $(1) $(2) >build/setup.log 2>&1; } || { cat build/setup.log; exit 1; }

build-demo:
	@tools/setup run
	$(call configure,$(DEMO),-Dbuildtype=release -Dtests=false)
	@ninja -C $(DEMO) --quiet

build-test:
	@tools/setup test
	$(call configure,$(TEST),-Dbuildtype=debugoptimized)
	@ninja -C $(TEST) --quiet

# --- using ---

# Status 1 of `judge` means a shut gate, which is an answer, not a failure.
demo: build-demo
	@$(DEMO)/app/cli/loomwall judge examples/heron/heron.yaml || test $$? = 1
	@echo
	@$(DEMO)/app/cli/loomwall sheets examples/heron/heron.yaml --out out/heron
	@echo
	@echo 'Open it:  $(DEMO)/app/cli/loomwall open examples/heron/heron.yaml'

# README's picture, to the byte what tests/readme expects.
picture: build-demo
	@$(DEMO)/app/cli/loomwall sheets examples/heron/heron.yaml --out out/picture --only diagram --date 2026-05-09 >/dev/null
	cp out/picture/diagram-2.svg docs/pictures/heron-diagram.svg

# What tests/page/look.test.mjs compares with. Look at them before you commit them.
looks: build-test
	@LOOMWALL_RENEW=1 node tests/page/look.test.mjs $(TEST)/app/cli/loomwall . build/page-tests

install:
	@tools/setup run
	$(call configure,build/install,-Dbuildtype=release -Dtests=false)
	@meson configure build/install --prefix=$(abspath $(prefix))
	@meson install -C build/install --quiet $(if $(DESTDIR),--destdir $(abspath $(DESTDIR)))
	@echo 'Installed in $(DESTDIR)$(abspath $(prefix)).'

bench:
	@tools/setup test
	$(call configure,$(BENCH),-Dbuildtype=release -Dtests=false -Dbench=true)
	@ninja -C $(BENCH) --quiet
	@bench/run $(BENCH)

# --- proving ---

test: build-test
	@tools/run-tests $(TEST)

check: sanitized format-check lint layers tables words

sanitized:
	@tools/setup check
	$(call configure,$(SANE),-Dbuildtype=debug -Db_sanitize=address$(comma)undefined -Doptimization=1 -Dbrowser=false)
	@ninja -C $(SANE) --quiet
	@LOOMWALL_FEWER=5 tools/run-tests --quietly $(SANE)

.PHONY: format-check
format-check:
	@clang-format --dry-run --Werror $(SOURCES)
	@echo 'format: $(words $(SOURCES)) files are laid out as .clang-format says'

format:
	@clang-format -i $(SOURCES)

# One process a file: the second file of a process is accused of va_lists without start (a bug of clang-tidy 14). The
# flags are those of gcc, of which clang does not know all.
lint: build-demo
	@printf '%s\n' $(UNITS) | xargs -P 2 -n 1 clang-tidy --quiet --extra-arg=-Wno-unknown-warning-option -p $(DEMO) 2>$(DEMO)/lint.log || { cat $(DEMO)/lint.log; exit 1; }
	@mandoc -T lint -W warning docs/loomwall.1
	@echo 'lint: $(words $(UNITS)) files and the man page are clean'

layers:
	@tools/check-layers

tables:
	@tools/check-tables

words:
	@tools/check-words

SECONDS ?= 60
fuzz:
	@tools/setup check
	@tools/fuzz $(SECONDS)

clean:
	rm -rf build out

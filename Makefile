# Makefile of jackvolt. SPDX-License-Identifier: MIT
# One file for everything. MODE picks the flags and the directory build/MODE;
# settings of your own go in config.mk (CC, CFLAGS, PREFIX, ...). V=1 shows commands.
-include config.mk
ifeq ($(MAKELEVEL),0)
MAKEFLAGS += -j$(shell nproc 2>/dev/null || echo 2) # a -j of the command line goes before
endif

# Several goals are reached one after the other, each with all jobs: `make clean check`,
# `make deps demo`.
ifneq ($(word 2,$(MAKECMDGOALS)),)
.PHONY: $(MAKECMDGOALS) in-order
$(MAKECMDGOALS): in-order
	@:
in-order:
	+@for goal in $(MAKECMDGOALS); do $(MAKE) --no-print-directory $$goal || \
	  $(if $(findstring k,$(firstword -$(MAKEFLAGS))),failed=1,exit); done; test -z "$$failed"
else

MODE ?= release
PREFIX ?= /usr/local
LIBDIR ?= $(PREFIX)/lib
B := build/$(MODE)
Q := $(if $(V),,@)
SUB = $(MAKE) --no-print-directory
ifeq ($(origin CC),default)
CC := gcc
endif

# --- flags --------------------------------------------------------------------
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wmissing-prototypes \
            -Wstrict-prototypes -Wwrite-strings -Wvla -Wformat=2 $(if $(WERROR),-Werror)
MODE_FLAGS.asan := -O1 -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all
MODE_FLAGS.coverage := -O0 --coverage
MODE_FLAGS.fuzz := -O1 -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all
MODE_FLAGS := $(or $(MODE_FLAGS.$(MODE)),-O2)
# Contraction off: the same answer on every machine (docs/decisions.md).
JV_CFLAGS = -std=c11 -g $(MODE_FLAGS) -ffp-contract=off -fPIC -pthread $(WARNINGS) -Iinclude -Isrc
# pkg-config is asked when the first recipe wants it and not when this file is
# read, so that `make deps check` works where nothing is installed yet.
once = $(eval $(1) := $(2))$($(1))
LIB_CFLAGS = $(call once,LIB_CFLAGS,$(shell pkg-config --cflags libcjson libxml-2.0))
PKG_LIBS = $(call once,PKG_LIBS,$(shell pkg-config --libs libcjson libxml-2.0))
LIB_LIBS = $(PKG_LIBS) -lklu -lamd -lbtf -lcolamd -lsuitesparseconfig -lm
TEST_CFLAGS = $(call once,TEST_CFLAGS,-I. $(shell pkg-config --cflags cmocka gsl lapacke))
TEST_LIBS = $(call once,TEST_LIBS,$(shell pkg-config --libs cmocka gsl lapacke))
VERSION = $(call once,VERSION,$(shell sed -n 's/^.define JV_VERSION "\(.*\)"/\1/p' include/jackvolt/version.h))
COMPILE = $(CC) $(JV_CFLAGS) $(LIB_CFLAGS) $(CPPFLAGS) $(CFLAGS) -MMD -MP
LINK = $(CC) $(MODE_FLAGS) -pthread -Wl,--as-needed $(LDFLAGS)

# --- what there is -------------------------------------------------------------
SOURCES := $(sort $(wildcard src/*/*.c src/*/*/*.c))
CLI_SOURCES := $(filter src/cli/%,$(SOURCES))
LAYOUTS := $(sort $(wildcard circuits/*.json))
LIB_OBJECTS := $(patsubst %.c,$(B)/%.o,$(filter-out src/cli/%,$(SOURCES))) $(B)/src/read/layouts_built.o
CLI_OBJECTS := $(patsubst %.c,$(B)/%.o,$(CLI_SOURCES))
SUPPORT_OBJECTS := $(patsubst %.c,$(B)/%.o,$(sort $(wildcard tests/support/*.c)))
UNIT := $(patsubst %.c,$(B)/%,$(sort $(wildcard tests/unit/test_*.c)))
FUZZ := $(patsubst %.c,$(B)/%,$(sort $(wildcard tests/fuzz/fuzz_*.c)))
BENCH := $(patsubst %.c,$(B)/%,$(sort $(wildcard tests/bench/bench_*.c)))
BENCH_OBJECTS := $(patsubst %.c,$(B)/%.o,$(filter-out tests/bench/bench_%,$(wildcard tests/bench/*.c)))
HEADERS := $(sort $(wildcard include/jackvolt/*.h))
C_FILES := $(sort $(SOURCES) $(HEADERS) $(wildcard src/*/*.h src/*/*/*.h docs/*.c tests/*/*.[ch]))
LIBRARY := $(B)/libjackvolt.a
SHARED := $(B)/libjackvolt.so
PROGRAM := $(if $(CLI_SOURCES),$(B)/jackvolt)
TRIAL := $(B)/tests/trial/trial
TRIAL_OBJECTS := $(patsubst %.c,$(B)/%.o,$(sort $(wildcard tests/trial/*.c)))
TEST_PROGRAMS := $(UNIT) $(FUZZ) $(TRIAL)
OBJECTS := $(LIB_OBJECTS) $(CLI_OBJECTS) $(SUPPORT_OBJECTS) $(BENCH_OBJECTS) $(TRIAL_OBJECTS) \
           $(TEST_PROGRAMS:=.o) $(BENCH:=.o) $(B)/tests/fuzz/replay.o $(B)/docs/errors.o $(B)/docs/schema.o

.DELETE_ON_ERROR:
.SECONDARY:
.PHONY: all check check-long asan coverage fuzz golden bench lint lint-builds lint-headers \
        lint-text lint-tidy lint-cppcheck layers format docs install uninstall dist deb \
        check-install deps demo help \
        deps-browser check-browser pictures clean tests fuzz-programs bench-programs
all: $(LIBRARY) $(SHARED) $(PROGRAM) ## the library and the program

# --- build ----------------------------------------------------------------------
$(B)/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(if $(V),,@echo "  CC    $@")
	$(Q)$(COMPILE) $(if $(filter tests/%,$<),$(TEST_CFLAGS)) -c -o $@ $<
# The example circuits go into the library: jackvolt new needs no directory of them.
$(B)/src/read/layouts_built.c: $(LAYOUTS) src/read/layouts.sh
	@mkdir -p $(@D) && src/read/layouts.sh $(LAYOUTS) > $@
$(B)/src/read/layouts_built.o: $(B)/src/read/layouts_built.c Makefile
	$(Q)$(COMPILE) -c -o $@ $<
$(LIBRARY): $(LIB_OBJECTS)
	@mkdir -p $(@D) && rm -f $@
	$(Q)$(AR) rcs $@ $^
# The shared library gives away what the public headers declare, nothing else.
$(B)/exports.map: $(HEADERS)
	@mkdir -p $(@D)
	@{ echo '{ global:'; cat $^ | grep -o '\bjv_[a-z0-9_]*(' | sort -u | tr '(' ';'; echo 'local: *; };'; } > $@
$(SHARED): $(LIB_OBJECTS) $(B)/exports.map
	$(Q)$(LINK) -shared -Wl,-soname,libjackvolt.so.0 -Wl,--version-script,$(B)/exports.map \
	  $(if $(findstring sanitize,$(MODE_FLAGS)),,-Wl,-z,defs) \
	  -o $@ $(LIB_OBJECTS) $(LIB_LIBS)
$(B)/jackvolt: $(CLI_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS)
$(UNIT): %: %.o $(SUPPORT_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS) $(TEST_LIBS)
$(FUZZ): %: %.o $(if $(filter fuzz,$(MODE)),,$(B)/tests/fuzz/replay.o) $(LIBRARY)
	$(Q)$(LINK) $(if $(filter fuzz,$(MODE)),-fsanitize=fuzzer) -o $@ $^ $(LIB_LIBS)
$(BENCH): %: %.o $(BENCH_OBJECTS) $(SUPPORT_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS) $(TEST_LIBS)
$(TRIAL): $(TRIAL_OBJECTS) $(SUPPORT_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS) $(TEST_LIBS)
$(B)/docs/errors: $(B)/docs/errors.o
	$(Q)$(LINK) -o $@ $^
$(B)/docs/schema: $(B)/docs/schema.o $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS)
tests: all $(TEST_PROGRAMS) $(B)/docs/errors $(B)/docs/schema
-include $(OBJECTS:.o=.d)

# --- tests ----------------------------------------------------------------------
check: tests ## every test; the last line counts them
	@tests/run.sh $(B)
check-long: tests ## the same, with the long random runs in it
	@JV_LONG=1 tests/run.sh $(B)
asan: ## every test under the address and undefined-behaviour sanitizers
	+$(Q)$(SUB) MODE=asan check
coverage: ## table of lines covered; 90 % of physics, circuit, read and solve are asked for
	+$(Q)$(SUB) MODE=coverage tests
	@tests/coverage.sh build/coverage
FUZZ_SECONDS ?= 20
fuzz: ## let clang's fuzzer look for trouble, FUZZ_SECONDS (20) a target
	+$(Q)$(SUB) MODE=fuzz CC=clang fuzz-programs
	@tests/fuzz/hunt.sh build/fuzz $(FUZZ_SECONDS)
fuzz-programs: $(FUZZ)
golden: $(PROGRAM) ## write what the command line tests expect from what comes out: read the diff
	@tests/cli/run.sh $(B) --write && tests/bad/run.sh $(B) --write; git --no-pager diff --stat -- tests
bench: $(BENCH) $(PROGRAM) ## measure speed and size against the bare libraries
	@set -e; for b in $(BENCH); do PATH="$(B):$$PATH" $$b; done

# --- quality gates ----------------------------------------------------------------
lint: lint-builds lint-headers lint-text lint-tidy lint-cppcheck ## both compilers, tidy, format, banned words
lint-builds:
	+$(Q)$(SUB) MODE=$(if $(WERROR),release,gcc) CC=gcc WERROR=1 tests $(if $(BENCH),bench-programs)
	+$(Q)$(SUB) MODE=clang CC=clang WERROR=1 tests $(if $(BENCH),bench-programs)
bench-programs: $(BENCH)
lint-headers:
	@for h in $(HEADERS:include/%=%); do printf '#include "%s"\ntypedef int jv_alone;\n' $$h | \
	  $(CC) $(JV_CFLAGS) -Werror -fsyntax-only -x c - || { echo "$$h does not stand alone"; exit 1; }; done
# Overflow or follow the locale, anywhere; print, end the process or read numbers, in the library
# (src/base/number.c is the one place that reads numbers).
UNSAFE := v?sprintf|strcpy|strcat|strtok|ato[fil]|atoll|gets|v?s?scanf
UNFIT := $(UNSAFE)|strto[dfl]|strtold|v?printf|puts|putchar|system|abort|exit
lint-text:
	@clang-format --dry-run -Werror $(C_FILES)
	@! grep -nE '\<($(UNSAFE))\(' $(C_FILES) || { echo "banned functions"; exit 1; }
	@! grep -nE '\<($(UNFIT))\(' $(filter-out src/cli/% src/base/number.%,$(filter src/%,$(C_FILES))) \
	  || { echo "functions that the library may not use"; exit 1; }
	@wc -l $(C_FILES) | awk '$$2 != "total" && $$1 > 600 { print $$2 ": " $$1 " lines, 600 allowed"; bad = 1 } END { exit bad }'
lint-tidy: $(patsubst %.c,$(B)/%.tidy,$(SOURCES))
$(B)/%.tidy: %.c $(B)/%.o .clang-tidy
	$(Q)clang-tidy --quiet $< -- $(JV_CFLAGS) $(LIB_CFLAGS) 2>/dev/null && touch $@
lint-cppcheck:
	@mkdir -p build/cppcheck
	$(Q)cppcheck -q -j 2 --std=c11 --enable=warning,performance,portability --inline-suppr \
	  --suppress=duplicateAssignExpression --error-exitcode=1 --cppcheck-build-dir=build/cppcheck -Iinclude -Isrc src
layers: all ## includes and calls point down only
	@tests/infra/layers.sh $(B)
format: ## let clang-format put every source in order
	clang-format -i $(C_FILES)
docs: $(B)/docs/errors $(B)/docs/schema ## write what is made of tables: errors, schema, format
	$(B)/docs/errors > docs/errors.md
	$(B)/docs/schema schema > docs/circuit.schema.json
	$(B)/docs/schema docs/format.md > $(B)/docs/format.md && cp $(B)/docs/format.md docs/format.md

# --- the rest ----------------------------------------------------------------------
D = $(DESTDIR)$(PREFIX)
L = $(DESTDIR)$(LIBDIR)
install: all ## into PREFIX (/usr/local), under DESTDIR
	install -d $D/bin $D/include/jackvolt $L/pkgconfig $D/share/man/man1 $D/share/doc/jackvolt \
	  $D/share/bash-completion/completions $D/share/jackvolt/circuits
	install -m 755 $(PROGRAM) $D/bin
	$(PROGRAM) completion -o $D/share/bash-completion/completions/jackvolt
	install -m 644 $(LAYOUTS) $D/share/jackvolt/circuits
	install -m 644 LICENSE $(wildcard docs/*.md docs/*.json) $D/share/doc/jackvolt
	install -m 644 $(HEADERS) include/jackvolt/codes.def $D/include/jackvolt
	install -m 644 $(LIBRARY) $L
	install -m 755 $(SHARED) $L/libjackvolt.so.0
	ln -sf libjackvolt.so.0 $L/libjackvolt.so
	install -m 644 docs/man/jackvolt.1 $D/share/man/man1
	printf '%s\n' 'prefix=$(PREFIX)' 'libdir=$(patsubst $(PREFIX)/%,$${prefix}/%,$(LIBDIR))' \
	  'Name: jackvolt' 'Description: circuits of 12 V levelling jacks' 'Version: $(VERSION)' \
	  'Cflags: -I$${prefix}/include' 'Libs: -L$${libdir} -ljackvolt' 'Libs.private: $(LIB_LIBS) -pthread' \
	  > $L/pkgconfig/jackvolt.pc
uninstall: ## take away what install put there
	rm -rf $D/bin/jackvolt $D/include/jackvolt $L/libjackvolt.* $L/pkgconfig/jackvolt.pc $D/share/man/man1/jackvolt.1 \
	  $D/share/bash-completion/completions/jackvolt $D/share/jackvolt $D/share/doc/jackvolt
dist: ## a tarball of the sources: what is committed, or without git what is here
	@mkdir -p build
	@git archive --prefix=jackvolt-$(VERSION)/ -o build/jackvolt-$(VERSION).tar.gz HEAD 2>/dev/null || \
	  tar -czf build/jackvolt-$(VERSION).tar.gz --exclude=./build --exclude=./config.mk --exclude-vcs \
	  --transform 's|^\.|jackvolt-$(VERSION)|' .
	@echo build/jackvolt-$(VERSION).tar.gz
deb: all ## a Debian package, in build/
	@packaging/deb.sh $(MODE) $(VERSION)
check-install: all ## make the package, install it in a scratch root, use program and library from there
	@tests/infra/test_package.sh $(B)
PACKAGES := gcc libc6-dev clang libclang-rt-dev clang-format clang-tidy cppcheck gcovr make pkg-config \
  libcmocka-dev libcjson-dev libxml2-dev libsuitesparse-dev libgsl-dev liblapacke-dev libxml2-utils \
  python3-jsonschema dpkg-dev binutils \
  locales
deps: ## install what building and testing need (apt; elsewhere the names are printed)
	@PACKAGES='$(PACKAGES)' tests/infra/deps.sh
deps-browser: ## install what check-browser needs: Chromium, node, two checkers from npm
	@tests/browser/deps.sh build/browser
check-browser: all ## the reports in a real browser; pictures of them in build/browser/pages
pictures: all ## write the pictures of the README anew
check-browser pictures: ; @node tests/browser/$@.mjs $(B) build/browser build/browser/pages
demo: all ## the main job: the trailer with five jacks on one feed
	@$(B)/jackvolt drop circuits/long-trailer.json || [ $$? -eq 1 ]
help: ## this list
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  %-13s %s\n", $$1, $$2 }' Makefile
clean: ## remove what was built
	rm -rf build
endif

# Makefile of jackvolt. SPDX-License-Identifier: MIT
# One file for everything. MODE picks the flags and the directory build/MODE;
# settings of your own go in config.mk (CC, CFLAGS, PREFIX, ...). V=1 shows commands.
-include config.mk

MODE ?= release
PREFIX ?= /usr/local
LIBDIR ?= $(PREFIX)/lib
B := build/$(MODE)
Q := $(if $(V),,@)
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
LIB_OBJECTS := $(patsubst %.c,$(B)/%.o,$(filter-out src/cli/%,$(SOURCES)))
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
TEST_PROGRAMS := $(UNIT) $(FUZZ)
OBJECTS := $(LIB_OBJECTS) $(CLI_OBJECTS) $(SUPPORT_OBJECTS) $(BENCH_OBJECTS) \
           $(TEST_PROGRAMS:=.o) $(BENCH:=.o) $(B)/tests/fuzz/replay.o $(B)/docs/errors.o

.DELETE_ON_ERROR:
.SECONDARY:
.PHONY: all check check-long asan coverage fuzz golden bench lint layers format docs install \
        uninstall dist deps demo help clean tests
all: $(LIBRARY) $(SHARED) $(PROGRAM) ## the library and the program

# --- build ----------------------------------------------------------------------
# `make -j2 clean all` and `make -j2 deps check` do the first thing first.
$(OBJECTS): | $(filter deps clean,$(MAKECMDGOALS))
$(B)/%.o: %.c Makefile
	@mkdir -p $(@D)
	$(if $(V),,@echo "  CC    $@")
	$(Q)$(COMPILE) $(if $(filter tests/%,$<),$(TEST_CFLAGS)) -c -o $@ $<
$(LIBRARY): $(LIB_OBJECTS)
	@mkdir -p $(@D) && rm -f $@
	$(Q)$(AR) rcs $@ $^
# The shared library gives away what the public headers declare, nothing else.
$(B)/exports.map: $(HEADERS)
	@mkdir -p $(@D)
	@{ echo '{ global:'; cat $^ | grep -o '\bjv_[a-z0-9_]*(' | sort -u | tr '(' ';'; echo 'local: *; };'; } > $@
$(SHARED): $(LIB_OBJECTS) $(B)/exports.map
	$(Q)$(LINK) -shared -Wl,-soname,libjackvolt.so.0 -Wl,--version-script,$(B)/exports.map \
	  -o $@ $(LIB_OBJECTS) $(LIB_LIBS)
$(B)/jackvolt: $(CLI_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS)
$(UNIT): %: %.o $(SUPPORT_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS) $(TEST_LIBS)
$(FUZZ): %: %.o $(if $(filter fuzz,$(MODE)),,$(B)/tests/fuzz/replay.o) $(LIBRARY)
	$(Q)$(LINK) $(if $(filter fuzz,$(MODE)),-fsanitize=fuzzer) -o $@ $^ $(LIB_LIBS)
$(BENCH): %: %.o $(BENCH_OBJECTS) $(SUPPORT_OBJECTS) $(LIBRARY)
	$(Q)$(LINK) -o $@ $^ $(LIB_LIBS) $(TEST_LIBS)
$(B)/docs/errors: $(B)/docs/errors.o
	$(Q)$(LINK) -o $@ $^
tests: all $(TEST_PROGRAMS) $(B)/docs/errors
-include $(OBJECTS:.o=.d)

# --- tests ----------------------------------------------------------------------
check: tests ## every test; the last line counts them
	@tests/run.sh $(B)
check-long: tests ## the same, with the long random runs in it
	@JV_LONG=1 tests/run.sh $(B)
asan: ## every test under the address and undefined-behaviour sanitizers
	$(Q)$(MAKE) --no-print-directory MODE=asan check
clean: ## remove what was built
	rm -rf build
docs: $(B)/docs/errors ## write docs/errors.md from the list of codes
	$(B)/docs/errors > docs/errors.md

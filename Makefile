# A thin face over Meson; builds live in build/VARIANT. `make help` lists what there is.
PREFIX ?= /usr/local
DESTDIR ?=
FUZZ_SECONDS ?= 600
T ?=
export FUZZ_SECONDS PREFIX DESTDIR
MAKEFLAGS += --no-print-directory

.PHONY: help demo check check-long bench san lint format install clean

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' Makefile | expand -t 14

demo: ## installs what is missing, builds, solves the example set and shows figures, checks and one explanation
	@tools/setup
	@tools/build release
	@tools/demo

check: ## the quick tiers in all variants; T=valve: only tests with that in their name, debug build
	@tools/setup
	@python3 tools/check.py $(T)

check-long: ## fuzzing (FUZZ_SECONDS each), valgrind, long forms of tests, the proof in a bare root
	@tools/setup packages.txt packages-long.txt
	@tools/check-long

bench: ## benchmarks in the release build, compared with the last run
	@tools/setup
	@python3 tools/bench.py

san: ## builds with address and undefined sanitizers and runs all tests there
	@tools/setup
	@tools/build san
	@meson test -C build/san --no-rebuild --print-errorlogs -t 4 --no-suite source

lint: ## rules of the source text, and clang-tidy
	@tools/setup packages.txt packages-long.txt
	@python3 tools/lint.py
	@tools/build clang
	@run-clang-tidy-14 -quiet -p build/clang '/src/[a-z]*/' 2>build/clang-tidy.err

format: ## lays out the C files named in F="..." by .clang-format
	@tools/setup packages.txt packages-long.txt
	@clang-format-14 -i $(F)

install: ## program, data, manual page, examples, under PREFIX (and DESTDIR)
	@tools/build install
	@meson install -C build/install --no-rebuild --quiet

clean: ## removes build/
	rm -rf build

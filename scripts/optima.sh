#!/bin/sh
# Proves the optima of the small plants anew with a general-purpose constraint solver: some ten minutes. Writes
# schedule/search/testdata/small-optima.tsv, which the tests compare search and bound with.
set -eu
cd "$(dirname "$0")/.."
scripts/need.sh node npm
[ -d bench/solver/node_modules ] || npm ci --prefix bench/solver --no-audit --no-fund --loglevel=error
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go run ./cmd/smallplants > "$dir/plants.jsonl"
node bench/solver/small.mjs < "$dir/plants.jsonl" > "$dir/optima.tsv"
mv "$dir/optima.tsv" schedule/search/testdata/small-optima.tsv

#!/usr/bin/env bash
# Measures speed and size, then the search on published instances, and writes bench/RESULTS.md. Needs a build (make bench makes
# one). With --speed speed and plants only, some ten minutes; with --full all instances and the comparison with a constraint solver: many hours.
set -euo pipefail
cd "$(dirname "$0")/.."
out=bench/parts/10-speed.md
mkdir -p bench/parts
raw=$(mktemp); trap 'rm -f "$raw"' EXIT
run() { go test "$1" -run '^$' -bench "$2" -benchtime "$3" -benchmem | tee -a "$raw"; }

run ./exchange 'ReadWorkbook|WriteWorkbook' 5x
run ./book 'Check|NewIndex' 5x
run ./needs 'Explode' 5x
run ./schedule/search 'FirstPlan|^BenchmarkRules' 3x
run ./schedule/search 'Replan' 1x
run ./flow 'ReplanDemo' 1x
run ./calendar 'Add|Fit' 1000000x
run ./formula 'Evaluate' 200000x
run ./web 'Sheets' 200x

# Peak memory of a first plan of 100,000 operations, by the operating system's account.
go test -c -o "$raw.test" ./schedule/search
peak="not measured"
if [ -x /usr/bin/time ]; then
  (cd schedule/search && /usr/bin/time -f '%M' -o "$raw.peak" "$raw.test" -test.run '^$' -test.bench FirstPlan100k -test.benchtime 1x >/dev/null)
  peak="$(( $(cat "$raw.peak") / 1024 )) MiB"
fi
screen=$(node web/e2e/run.mjs web/e2e/planspeed.mjs)
rm -f "$raw.test" "$raw.peak"

{
  echo "## Speed and size"
  echo
  echo "- machine: $(nproc) processors ($(grep -m1 'model name' /proc/cpuinfo | cut -d: -f2- | xargs)), $(free -g | awk '/Mem/{print $2}') GiB memory"
  echo "- $(go version | cut -d' ' -f3-4), $(date -u +%Y-%m-%d)"
  echo
  echo "| what | limit | measured |"
  echo "|---|---|---|"
  awk '
    function secs(ns) { return ns >= 1e9 ? sprintf("%.2f s", ns/1e9) : sprintf("%.0f ms", ns/1e6) }
    /^BenchmarkReadWorkbook/  { print "| import of a workbook: 2,000 order lines and 30,000 rows of finished work, read and checked | 5 s | " secs($3) " |" }
    /^BenchmarkWriteWorkbook/ { print "| export of the same | 5 s | " secs($3) " |" }
    /^BenchmarkExplode/       { print "| orders to units, jobs and operations (" $1 ") | | " secs($3) " |" }
    /^BenchmarkFirstPlan20k/  { print "| first plan of 20,000 operations | 2 s | " secs($3) " |" }
    /^BenchmarkFirstPlan100k/ { print "| first plan of 100,000 operations | 15 s | " secs($3) " |" }
    /^BenchmarkRules20k/      { print "| all construction rules on 20,000 operations | | " secs($3) " |" }
  ' "$raw"
  awk '
    function value(unit, i) { for (i = 3; i <= NF; i++) if ($i == unit) return $(i-1); return "?" }
    /^BenchmarkReplan\/2000-/   { print "| plan again after one event, 2,000 operations: median of the kinds of events | 300 ms | " value("median-ms") " ms |"
                                  print "| operations moved inside the freeze window by it, median | 15 | " value("moved") " |" }
    /^BenchmarkReplan\/20000-/  { print "| plan again after one event, 20,000 operations: median | 2 s | " value("median-ms") " ms |"
                                  print "| operations moved inside the freeze window by it, median | 15 | " value("moved") " |" }
    /^BenchmarkReplanDemo/      { print "| plan the demo plant again after one event, from the book on (" value("operations") " operations): median | | " value("median-ms") " ms, of it " value("frame-ms") " ms to set it out |"
                                  print "| operations moved inside the freeze window by it, median | 15 | " value("moved") " |" }
  ' "$raw"
  echo "| peak memory of the process with 100,000 operations, problem included | 1 GiB | $peak |"
  awk '/^BenchmarkSheets/ { for (i=1;i<=NF;i++) if ($i=="p95-ms") { name=$1; sub(/^BenchmarkSheets\//,"",name); sub(/-[0-9]+$/,"",name); printf "| sheet %s, server time p95 | 50 ms | %s ms |\n", name, $(i-1) } }' "$raw"
  echo "| Plan sheet in Chromium, interactive | 1 s | $screen |"
  echo
  echo "### All figures of speed and size"
  echo
  echo '```'
  grep -E '^(Benchmark|pkg:)' "$raw"
  echo '```'
} > "$out"

# The floor: terminals that post, a start on a long record, kills under load.
: > "$raw"
run ./flow 'Terminals|FloorStart|FloorKilled' 1x
awk '
  function value(unit, i) { for (i = 3; i <= NF; i++) if ($i == unit) return $(i-1); return "?" }
  function row(what, limit, unit, shown) { print "| " what " | " limit " | " value(unit) " " shown " |" }
  BEGIN { print "## The floor"; print ""
          print "200 terminals, each posting one event at a time; an event is acknowledged when it is on the disk. Paced: 1,500 events a second at random moments."; print ""
          print "| what | limit | measured |"; print "|---|---|---|" }
  /^BenchmarkTerminals\/at_once/ { row("acknowledged events, terminals without a pause", "1,500 a second", "events/s", "a second") }
  /^BenchmarkTerminals\/paced-/  { row("from posting to the acknowledgement, paced, median", "", "p50-ms", "ms"); row("the same, p99", "50 ms", "p99-ms", "ms")
                                   row("from the acknowledgement until who watches is told, p99", "1 s", "told-p99-ms", "ms") }
  /^BenchmarkTerminals\/paced,_/ { row("from posting to the acknowledgement, paced, after a million events, p99", "50 ms", "p99-ms", "ms") }
  /^BenchmarkFloorStart/         { row("start on a million events about 40,000 operations", "2 s", "open-s", "s"); row("to prove them (tackline rebuild --check)", "", "prove-s", "s") }
  /^BenchmarkFloorKilled/        { row("kills at random points while 40 devices post: nothing lost, nothing doubled, each record proved", "200", "kills", "kills") }
' "$raw" > bench/parts/15-floor.md

# Plants: against rules, planned again, inner loops.
: > "$raw"
go test -c -o "$raw.test" ./schedule/search
timed=""
[ -x /usr/bin/time ] && timed="/usr/bin/time -f %M -o $raw.peak"
(cd schedule/search && $timed "$raw.test" -test.run '^$' -test.bench AgainstRules -test.benchtime 1x | tee -a "$raw")
[ -s "$raw.peak" ] && echo "BenchmarkPeak 1 $(( $(cat "$raw.peak") / 1024 )) MiB" >> "$raw"
rm -f "$raw.test" "$raw.peak"
run ./schedule/search 'Replan' 1x
run ./flow 'ReplanDemo' 1x
run ./schedule/search 'Steps' 20000x
run ./schedule/disjunct 'Steps' 2000x
run ./schedule/staffed 'Steps' 2000x
node bench/plant.mjs < "$raw" > bench/parts/20-plant.md

if [ "${1:-}" = --speed ]; then
  node bench/results.mjs
  echo "written to bench/RESULTS.md"
  exit
fi
if [ "${1:-}" = --full ]; then
  [ -d bench/solver/node_modules ] || npm ci --prefix bench/solver --no-audit --no-fund --loglevel=error ||
    echo "The constraint solver will not install: the comparison with it is left out."
fi
node bench/run.mjs "$@"
node bench/results.mjs
echo "written to bench/RESULTS.md"

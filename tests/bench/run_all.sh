#!/usr/bin/env bash
# All measurements, one after the other, each beside the bare library in the same run. Two runs differ by up to a
# third: read the ratios, not the times.
#   tests/bench/run_all.sh BUILD_FOLDER BASE_FOLDER
set -euo pipefail
cd "$(dirname "$0")/../.."
build=${1:?build folder} base=${2:?folder of the bases}
for program in find_relevance find_speed swap_speed; do
  [ -x "$build/tests/bench/$program" ] || continue
  printf '\n== %s\n' "$program"
  "$build/tests/bench/$program" --base "$base"
done
if [ -x "$build/tests/bench/build_speed" ]; then
  printf '\n== build_speed\n'
  inventory=../shared/reference/eu_inventory.csv
  more=()
  if [ -f "$inventory" ]; then more=(--inventory "$inventory"); else echo "the inventory is not at hand, skipped"; fi
  "$build/tests/bench/build_speed" --program "$build/query/stillroom" --bare "$build/tests/bench/bare_query" "${more[@]}"
fi
if [ -f tests/bench/http_bench.sh ]; then
  printf '\n== http\n'
  bash tests/bench/http_bench.sh "$build" "$base"
fi

#!/usr/bin/env bash
# Searches for bytes that break the reader or what comes after it: bash tests/fuzz/run.sh [SECONDS]
# Needs a nightly toolchain and `cargo install cargo-fuzz`. What it finds is written to tests/fuzz/artifacts.
set -euo pipefail
cd "$(dirname "$0")"
seconds=${1:-600}

rm -rf seeds
mkdir -p seeds corpus/read_and_measure
# Small drawings are spoiled and tried far more often in the same time. Former finds (fixtures/mangled) are slow under
# the search's own counting, and would end it at once.
find ../../fixtures -maxdepth 1 -name '*.dxf' -size -16k -exec cp {} seeds/ \;
# The last byte chooses the way of measuring: each drawing in one more.
way=0
for seed in seeds/*.dxf; do
    { cat "$seed" && printf %s "$((way % 10))"; } >"${seed%.dxf}.way"
    way=$((way + 1))
done
cargo +nightly fuzz run --fuzz-dir . --sanitizer none read_and_measure corpus/read_and_measure seeds -- \
    -dict=dxf.dict -max_total_time="$seconds" -max_len=20000 -timeout=10 -rss_limit_mb=2048 \
    -print_final_stats=1

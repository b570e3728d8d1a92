#!/usr/bin/env bash
# Side by side on one library of drawings: tracearm, a bare scan of the same bytes, and a plain script.
#
#   bash benches/library/compare.sh TRACEARM FOLDER [JOBS]
#
# JOBS is the number of threads and of processes, all cores unless given. The scan is BARE_SCAN, the program beside
# TRACEARM in examples/ unless set. All but the script run in turns, ROUNDS (7) times, and the best time of each counts.
# The script runs in PYTHON (python3), on every k-th drawing so that it gets PLAIN_DRAWINGS (1000) of them, once: its
# rate, not its time, is compared.
set -euo pipefail
shopt -s inherit_errexit
export LC_ALL=C

if [ $# -lt 2 ] || [ $# -gt 3 ]; then
    sed -n '2,9s/^# \{0,1\}//p' "$0" >&2
    exit 2
fi
tracearm=$1
folder=$2
jobs=${3:-$(nproc)}
here=$(cd "$(dirname "$0")" && pwd)
bare_scan=${BARE_SCAN:-$(dirname "$tracearm")/examples/bare_scan}
python=${PYTHON:-python3}
to=$(mktemp -d)
trap 'rm -rf "$to"' EXIT

find "$folder" -type f -name '*.dxf' | sort >"$to/drawings"
drawings=$(wc -l <"$to/drawings")
if [ "$drawings" -eq 0 ]; then
    echo "no drawing in $folder" >&2
    exit 2
fi
bytes=$(find "$folder" -type f -name '*.dxf' -printf '%s\n' | awk '{ sum += $1 } END { printf "%.0f", sum }')

calculate() { awk "BEGIN { printf \"$1\", $2 }"; }

# The seconds of one command; what it tells goes to a file that is shown if it fails.
seconds() {
    local code=0 start=$EPOCHREALTIME end
    "$@" >"$to/out" 2>"$to/err" || code=$?
    end=$EPOCHREALTIME
    # tracearm ends with 1 where a drawing could not be measured; the schedule is written all the same.
    if [ "$code" -ne 0 ] && { [ "$code" -ne 1 ] || [ "$1" != "$tracearm" ]; }; then
        tail -n 5 "$to/err" >&2
        echo "failed with code $code: $*" >&2
        return 1
    fi
    calculate %.4f "$end - $start"
}

schedule() { seconds "$tracearm" schedule "$folder" --jobs "$1"; }
scanned() { seconds "$bare_scan" "$folder" --jobs "$jobs"; }
better() { calculate %.4f "($1 < $2) ? $1 : $2"; }

# The first round fills the caches, and does not count.
rounds=${ROUNDS:-7}
for round in $(seq 0 "$rounds"); do
    times=("$(schedule "$jobs")" "$(schedule 1)" "$(scanned)")
    if [ "$round" -le 1 ]; then
        many=${times[0]} one=${times[1]} scan=${times[2]}
    else
        many=$(better "${times[0]}" "$many") one=$(better "${times[1]}" "$one") scan=$(better "${times[2]}" "$scan")
    fi
done
every=$(((drawings + ${PLAIN_DRAWINGS:-1000} - 1) / ${PLAIN_DRAWINGS:-1000}))
awk -v every="$every" 'NR % every == 0 || every == 1' "$to/drawings" >"$to/chosen"
chosen=$(wc -l <"$to/chosen")
mapfile -t paths <"$to/chosen"
plain=$(seconds "$python" "$here/plain.py" --jobs "$jobs" "${paths[@]}")
rows=$(($(wc -l <"$to/out") - 1))

row() { printf '%-34s %9d %9.3f %12.1f\n' "$1" "$2" "$3" "$(calculate %.4f "$2 / $3")"; }

average=$(calculate %.1f "$bytes / $drawings / 1000")
echo "$drawings drawings of $average kB on average, $(calculate %.1f "$bytes / 1000000") MB; $(nproc) cores"
printf '%-34s %9s %9s %12s\n' '' drawings seconds drawings/s
row "(a) tracearm --jobs $jobs" "$drawings" "$many"
row "    tracearm --jobs 1" "$drawings" "$one"
row "(b) bare scan, $jobs threads" "$drawings" "$scan"
row "(c) plain script, $jobs processes" "$chosen" "$plain"
echo "(a), (b): best of $rounds in turns, after a warm-up; (c): one run on every ${every}. drawing, $rows layers"
echo "a / c, each on $jobs cores (per core the same): $(calculate %.1f "($drawings / $many) / ($chosen / $plain)")"
echo "a with --jobs 1 / c's share of one core:    $(calculate %.1f "($drawings / $one) / ($chosen / $plain / $jobs)")"
echo "time of a / time of b:                      $(calculate %.2f "$many / $scan")"
echo "--jobs $jobs / --jobs 1:                        $(calculate %.2f "$one / $many")"

#!/usr/bin/env bash
# The program as it is built for Windows, run under Wine beside the one of this machine.
#
#   bash tests/windows/run.sh target/release/tracearm [target/x86_64-pc-windows-gnu/release/tracearm.exe]
#
# Without the second it is built. Exit code 3: it cannot be built or run here.
set -euo pipefail
cd "$(dirname "$0")/../.."
here=${1:?the program of this machine}
exe=${2:-}
triple=x86_64-pc-windows-gnu

wine=$(command -v wine64 wine /usr/lib/wine/wine64 | head -n 1) || true
if [ -z "$wine" ] || ! command -v x86_64-w64-mingw32-gcc >/dev/null; then
    echo "needs x86_64-w64-mingw32-gcc and wine64" >&2
    exit 3
fi
if [ -z "$exe" ]; then
    rustup target add "$triple" || exit 3
    cargo build --locked --release --target "$triple"
    exe=target/$triple/release/tracearm.exe
fi

place=$PWD/target/windows
mkdir -p "$place"
x86_64-w64-mingw32-gcc -O1 -shared -o "$place/bcryptprimitives.dll" tests/windows/random.c -ladvapi32
x86_64-w64-mingw32-gcc -O1 -municode -o "$place/hold.exe" tests/windows/hold.c
cp "$exe" "$place/tracearm.exe"

export WINEPREFIX=$place/wine WINEDEBUG=-all WINE="$wine" DISPLAY=
export WINEDLLOVERRIDES="mscoree,mshtml,winemenubuilder=;bcryptprimitives=n"
HERE=$(realpath "$here") PLACE="$place" python3 tests/windows/test_windows.py

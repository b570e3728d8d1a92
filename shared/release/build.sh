#!/usr/bin/env bash
# The program for Linux (without any library of the system) and Windows, the Python wheels for both, the licences of all that is
# built in, and checksums, in target/release-files.
#
#   bash shared/release/build.sh          needs musl-gcc, x86_64-w64-mingw32-gcc, python3 with venv
#
# PROFILE=release builds more quickly programs that run a little more slowly. The wheels are built so in any case.
set -euo pipefail
cd "$(dirname "$0")/../.."
profile=${PROFILE:-dist}
files=target/release-files
linux=x86_64-unknown-linux-musl
windows=x86_64-pc-windows-gnu

for tool in musl-gcc x86_64-w64-mingw32-gcc python3 cargo rustup; do
    command -v "$tool" >/dev/null || { echo "error: $tool is needed: install it, then try again" >&2; exit 1; }
done
rm -rf "$files"
mkdir -p "$files"

rustup target add "$linux" "$windows"
CC_x86_64_unknown_linux_musl=musl-gcc cargo build --locked --profile "$profile" --target "$linux" --target "$windows"
cp "target/$linux/$profile/tracearm" "$files/tracearm-linux-x86_64"
cp "target/$windows/$profile/tracearm.exe" "$files/tracearm-windows-x86_64.exe"

# The wheel for Linux runs where the C library is as new as here, or newer.
python3 -m venv target/release-python
target/release-python/bin/pip install --quiet "$(grep '^maturin==' python/requirements.txt)"
for target in x86_64-unknown-linux-gnu "$windows"; do
    CARGO_BUILD_TARGET=$target PATH="$PWD/target/release-python/bin:$PATH" target/release-python/bin/pip wheel --quiet \
        --no-deps --no-build-isolation --wheel-dir "$files" ./python
done

python3 shared/release/licences.py --to "$files/LICENCES.txt"
cp LICENSE-MIT LICENSE-APACHE "$files"

(cd "$files" && sha256sum -- * >SHA256SUMS)
ls -l "$files"

#!/usr/bin/env bash
# The wheel, and the program for Linux, on a Debian that has neither Rust nor a compiler, as an ordinary user:
#
#   bash tests/release/bare.sh WHEEL [PROGRAM]
#
# Needs root and debootstrap, which lays such a system into a folder. Exit code 3 where it can't be laid out here.
set -euo pipefail
wheel=$(realpath "${1:?the wheel}")
program=${2:+$(realpath "$2")}
cd "$(dirname "$0")/../.."
fixtures=$PWD/fixtures
[ "$(id -u)" -eq 0 ] && command -v debootstrap >/dev/null || { echo "not here: root and debootstrap are needed" >&2; exit 3; }

system=$(mktemp -d)
# An ordinary user goes in there.
chmod 755 "$system"
trap 'rm -rf --one-file-system "$system"' EXIT
# From where this machine has its own packages.
site=$(apt-get indextargets --format '$(SITE)' | head -n 1)
release=$(. /etc/os-release && echo "$VERSION_CODENAME")
debootstrap --variant=minbase --include=python3,python3-venv "$release" "$system" "$site" >"$system.log" ||
    { tail -n 3 "$system.log" >&2; exit 3; }
rm -f "$system.log"

inside() { chroot "$system" /usr/bin/env -i PATH=/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin HOME=/home/drawings LC_ALL=C.UTF-8 "$@"; }
as_user() { inside setpriv --reuid=1000 --regid=1000 --clear-groups --no-new-privs "$@"; }
fail() { echo "failed: $*" >&2; exit 1; }

for tool in cargo rustc cc gcc; do
    ! inside which "$tool" >/dev/null || fail "$tool is there: this tries nothing"
done
inside useradd --create-home --uid 1000 drawings
mkdir "$system/home/drawings/drawings"
cp "$fixtures"/gantry-end-plate.dxf "$fixtures"/jib-bracket.dxf "$system/home/drawings/drawings"
cp "$wheel" "$system/home/drawings"
chown -R 1000:1000 "$system/home/drawings"

as_user python3 -m venv /home/drawings/python
# No index: the wheel alone.
as_user /home/drawings/python/bin/pip install --quiet --no-index "/home/drawings/$(basename "$wheel")"
cat >"$system/home/drawings/try.py" <<'PYTHON'
import tracearm

drawing = tracearm.read("/home/drawings/drawings/jib-bracket.dxf")
for section in drawing.sections:
    print(section.name, section.status, section.area)
    assert section.area > 0
rows = tracearm.schedule(["/home/drawings/drawings"])
rows.to_csv("/home/drawings/by-python.csv")
PYTHON
as_user /home/drawings/python/bin/python /home/drawings/try.py

# Each command once, by the command in the wheel and by the program.
by() {
    local name=$1
    shift
    local out=/home/drawings/$name
    as_user mkdir "$out"
    as_user "$@" schedule /home/drawings/drawings -o "$out/schedule.csv"
    as_user "$@" schedule /home/drawings/drawings --ledger "$out/all.ledger" -o "$out/schedule.xlsx"
    as_user "$@" sheet /home/drawings/drawings/jib-bracket.dxf --date 2027-03-31 -o "$out/sheet.html"
    as_user "$@" sheet /home/drawings/drawings/jib-bracket.dxf --date 2027-03-31 -o "$out/sheet.png"
    as_user "$@" mark /home/drawings/drawings/jib-bracket.dxf -o "$out/marked.dxf"
    for file in schedule.csv schedule.xlsx all.ledger sheet.html sheet.png marked.dxf; do
        [ -s "$system$out/$file" ] || fail "$name wrote no $file"
    done
    printf '%s: ' "$name"
    as_user "$@" --version
}
by wheel /home/drawings/python/bin/tracearm
cmp "$system/home/drawings/by-python.csv" "$system/home/drawings/wheel/schedule.csv" ||
    fail "the package and its command write different schedules"
if [ -n "$program" ]; then
    cp "$program" "$system/usr/local/bin/tracearm"
    by program tracearm
    for file in schedule.csv sheet.html marked.dxf; do
        cmp "$system/home/drawings/wheel/$file" "$system/home/drawings/program/$file" || fail "the two differ in $file"
    done
fi
echo "all there, without Rust and without a compiler"

#!/usr/bin/env bash
# Writes the sheets that tests/pages/check.mjs looks at: bash tests/pages/write.sh PROGRAM FOLDER
set -euo pipefail
program=$(realpath "$1")
fixtures=$(cd "$(dirname "$0")/../../fixtures" && pwd)
mkdir -p "$2"
cd "$2"
rm -f ./*.html
sheet() { "$program" sheet "$fixtures/$1" -o "$2" "${@:3}" || [ $? -eq 1 ]; }
sheet gantry-end-plate.dxf plates.html --density 7850 --project "Pier 7" --job-number 4711 --revision B
sheet gantry-end-plate.dxf short.html --short --density 7850
sheet open-edge-decides.dxf open.html
sheet layer-states.dxf hidden.html
sheet jib-bracket.dxf strips.html --strips 256
sheet ../tests/rolled/european.dxf rolled.html --density 7850
sheet jib-bracket.dxf bracket.html
sheet rail-clamp.dxf parts.html --per part --thickness 12 --density 7850
sheet half-ellipse.dxf ellipse.html --units cm
sheet imperial.dxf inches.html --units in --digits 8
sheet hole-in-lap.dxf overlap.html
sheet split-jaws.dxf jaws.html --digits full
sheet far-from-origin.dxf far.html
sheet spline-circle.dxf spline.html
sheet utf8-layers.dxf names.html
sheet crossing-outlines.dxf warnings.html
# Names that would be markup, and one of 300 characters.
name='<script>alert(1)</script>"&'"'"
long=$(printf 'l%.0s' $(seq 300))
{
    printf '0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n'
    for layer in "$name" "$long" 'مقطع' '6000 BY 8'; do
        printf '0\nLWPOLYLINE\n8\n%s\n90\n4\n70\n1\n10\n0\n20\n0\n10\n6000\n20\n0\n10\n6000\n20\n8\n10\n0\n20\n8\n' "$layer"
    done
    printf '0\nENDSEC\n0\nEOF\n'
} >hostile.dxf
"$program" sheet hostile.dxf -o hostile.html
rm hostile.dxf
# Every fixture that has a sheet, and a hundred sections of one drawing.
for drawing in "$fixtures"/*.dxf; do
    "$program" sheet "$drawing" -o "fixture-$(basename "$drawing" .dxf).html" 2>/dev/null || [ $? -le 2 ]
done
{
    printf '0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n'
    for k in $(seq 100); do
        x=$((k * 400))
        w=$((90 + k))
        printf '0\nLWPOLYLINE\n8\nPLATE %03d\n90\n4\n70\n1\n10\n%d\n20\n0\n10\n%d\n20\n0\n10\n%d\n20\n240\n10\n%d\n20\n120\n' \
            "$k" "$x" $((x + w)) $((x + w)) "$x"
        printf '0\nCIRCLE\n8\nPLATE %03d\n10\n%d\n20\n60\n40\n17\n' "$k" $((x + 40))
    done
    printf '0\nENDSEC\n0\nEOF\n'
} >hundred.dxf
"$program" sheet hundred.dxf -o hundred-sections.html --project "Pier 7"
rm hundred.dxf
# Ten drawings by others, where a folder of them lies beside the project.
drawings="${TRACEARM_DRAWINGS:-$fixtures/../../shared/drawings}"
if [ -d "$drawings" ]; then
    written=0
    for drawing in "$drawings"/*.dxf; do
        name="real-$(basename "$drawing" .dxf).html"
        "$program" sheet "$drawing" -o "$name" 2>/dev/null || [ $? -le 2 ]
        [ -f "$name" ] && written=$((written + 1))
        [ "$written" -lt 10 ] || break
    done
else
    echo "no folder of drawings by others beside the project: none of them is looked at" >&2
fi

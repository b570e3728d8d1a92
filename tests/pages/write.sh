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

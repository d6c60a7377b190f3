#!/bin/sh
# Pictures of a report as a desk and a phone show it: look_at_report.sh RESULT OUT. Needs chromium (`.ci/setup tests`).
set -eu

result=$(realpath "$1")
out=$(realpath "$2")
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

look() { # page, picture, width, height
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$scratch/profile" \
        --window-size="$3,$4" --screenshot="$2" "file://$1" 2>"$scratch/log" || { cat "$scratch/log" >&2; exit 1; }
}

look "$result/report.html" "$out/report.png" 900 1960
# A window of chromium is never as narrow as a phone; a frame is.
printf '<body style="margin:0"><iframe src="file://%s" width="360" height="1400" style="border:0"></iframe>' \
    "$result/report.html" >"$scratch/phone.html"
look "$scratch/phone.html" "$out/report-phone.png" 360 1400

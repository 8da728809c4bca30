#!/usr/bin/env bash
# How long a conversion of sample rates takes: one stereo stem of 3 minutes in 24 bits, read, converted and written in 24 bits by us (one thread) and by general tools (sox, ffmpeg).
# Prints the median of five runs in seconds, and its ratio to ours.
#
# usage: tests/Benchmarks/WholeProgram/rates.sh WORK_FOLDER [PROGRAM]
set -euo pipefail
root=$(cd "$(dirname "$0")/../../.." && pwd)
program=${2:-$root/src/Cli/bin/Release/net10.0/rendergraph}
mkdir -p "$1"; cd "$1"

median() {
  for _ in 1 2 3 4 5; do
    local from; from=$(date +%s%N)
    "$@" > /dev/null 2> run.txt || { cat run.txt >&2; exit 1; }
    echo $(($(date +%s%N) - from))
  done | sort -n | sed -n 3p
}

report() { awk -v name="$1" -v ns="$2" -v ours="$ours" 'BEGIN { printf "  %-26s %6.2f s  %5.2f\n", name, ns / 1e9, ns / ours }'; }

for pair in "44100 48000" "48000 44100" "96000 48000"; do
  # shellcheck disable=SC2086 # two numbers
  set -- $pair
  [ -f "in-$1.wav" ] || sox -R -n -r "$1" -c 2 -b 24 "in-$1.wav" synth 180 pinknoise pinknoise gain -6
  echo "{ \"format\": 1, \"sampleRateHz\": $2, \"stems\": { \"a\": { \"file\": \"in-$1.wav\", \"resample\": true } }, \"outputs\": { \"o\": { \"in\": \"a\", \"file\": \"ours.wav\" } } }" > graph.json
  echo "$1 to $2 Hz"
  ours=1; ours=$(median "$program" render graph.json --again --threads 1)
  report "ours, one thread" "$ours"
  report "ours, all processors" "$(median "$program" render graph.json --again)"
  for quality in v h m; do report "sox rate -$quality" "$(median sox "in-$1.wav" -b 24 theirs.wav rate "-$quality" "$2")"; done
  common=(ffmpeg -v error -y -threads 1 -i "in-$1.wav")
  report "ffmpeg soxr precision=28" "$(median "${common[@]}" -af "aresample=$2:resampler=soxr:precision=28:internal_sample_fmt=dblp" -c:a pcm_s24le theirs.wav)"
  report "ffmpeg swr default" "$(median "${common[@]}" -af "aresample=$2:internal_sample_fmt=dblp" -c:a pcm_s24le theirs.wav)"
done

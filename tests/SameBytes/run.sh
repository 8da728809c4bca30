#!/usr/bin/env bash
# Renders every example graph in many ways that must not change a byte, and compares the hashes of all outputs and of the lock.
#
# usage: tests/SameBytes/run.sh WORK_FOLDER [PROGRAM]
#   PROGRAM  the built rendergraph (default: src/Cli/bin/Release/net10.0/rendergraph)
#   AOT=PATH an ahead-of-time build to be held against it     ARM64=COMMAND one that runs it on another processor (say qemu-aarch64 -L ROOT PATH)
#
# Ends with the plain line "N passed, N failed": one way of rendering one graph is one check.
set -uo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
work=$1
program=${2:-$root/src/Cli/bin/Release/net10.0/rendergraph}
passed=0 failed=0

mkdir -p "$work"
"$program" demo --out "$work/demo" > "$work/demo.txt" || { cat "$work/demo.txt"; echo "0 passed, 1 failed"; exit 1; }

# The same program with cultures switched on: normally it has none, so that no machine's habits can reach a number.
cultured=$work/cultured.runtimeconfig.json
sed 's/"System.Globalization.Invariant": true/"System.Globalization.Invariant": false/; s/"System.Globalization.PredefinedCulturesOnly": true/"System.Globalization.PredefinedCulturesOnly": false/' \
  "$(dirname "$program")/rendergraph.runtimeconfig.json" > "$cultured"

graph= expected=
# render NAME COMMAND...: renders the graph with that command and holds the bytes against the first way.
render() {
  local name=$1 out=$work/out hash
  shift
  rm -rf "$out" "$work"/demo/*.lock.json # nothing is taken over from the render before, and what is measured is measured anew
  if ! "$@" render "$work/demo/$graph" --out "$out" ${options:-} > "$work/render.txt" 2>&1; then
    echo "FAILED  $graph: $name did not render"; sed 's/^/        /' "$work/render.txt" | head -5
    failed=$((failed + 1))
    return
  fi
  cp "$work/demo/${graph%.json}.lock.json" "$out" # what was measured must not differ either
  hash=$(cd "$out" && find . -type f | LC_ALL=C sort | xargs sha256sum | sha256sum | cut -c1-64)
  if [ -z "$expected" ]; then
    expected=$hash
    echo "$graph: $hash"
  fi
  if [ "$hash" = "$expected" ]; then
    passed=$((passed + 1))
  else
    failed=$((failed + 1))
    echo "DIFFERS $graph: $name gave $hash"
  fi
}

for path in "$root"/graphs/*.json; do
  graph=$(basename "$path") expected=
  [ "$graph" = twenty-four-stems.json ] && continue # its stems are made by the benchmark
  cp "$path" "$work/demo/$graph"
  for threads in 1 2 4; do
    for frames in 64 777 2048 16384; do
      options="--threads $threads --block-frames $frames" render "$threads threads, blocks of $frames" "$program"
    done
  done
  options=
  render "no 512-bit vectors" env DOTNET_EnableAVX512F=0 DOTNET_EnableAVX512=0 "$program"
  render "no 256-bit integer vectors" env DOTNET_EnableAVX2=0 "$program"
  render "no 256-bit vectors" env DOTNET_EnableAVX=0 "$program"
  render "no vectors" env DOTNET_EnableHWIntrinsic=0 "$program"
  render "first compilation only" env DOTNET_TieredCompilation=0 "$program"
  render "nothing compiled ahead of time" env DOTNET_ReadyToRun=0 "$program"
  render "C library without fused paths" env GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2_Usable,-AVX2,-FMA_Usable,-FMA,-FMA4,-AVX512F "$program"
  for culture in de_DE tr_TR ar_SA fr_FR fa_IR; do
    render "culture $culture" env LC_ALL=$culture.UTF-8 LANG=$culture.UTF-8 dotnet exec --runtimeconfig "$cultured" "$(dirname "$program")/rendergraph.dll"
  done
  [ -n "${AOT:-}" ] && render "ahead of time" "$AOT"
  # shellcheck disable=SC2086 # a command and its arguments
  [ -n "${ARM64:-}" ] && render "arm64" $ARM64
done

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]

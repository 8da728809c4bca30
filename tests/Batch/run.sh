#!/usr/bin/env bash
# Holds a batch of many songs against what can go wrong: broken songs, kills at random moments, workers, parts, odd names; and against doing anything twice.
#
# usage: tests/Batch/run.sh WORK_FOLDER [PROGRAM]
#   PROGRAM  the built rendergraph (default: src/Cli/bin/Release/net10.0/rendergraph); tests/Songs must be built too
#   SONGS=N  how many songs (default 200), KILLS=N how often the batch is killed (default 10), SECONDS_EACH=N their length (default 3), SEED=N other songs and moments
#
# Ends with the plain line "N passed, N failed", and before it the time of the first and of the second run, which decide nothing.
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
mkdir -p "$1"; work=$(cd "$1" && pwd)
program=${2:-$root/src/Cli/bin/Release/net10.0/rendergraph}
songs=${SONGS:-200} kills=${KILLS:-10} seconds=${SECONDS_EACH:-3}
seed=${SEED:-1}; RANDOM=$seed
recipe=$root/graphs/recipes/kick-led-electronic/recipe.json
passed=0 failed=0
check() { local what=$1; shift; if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $what"; fi; }
tree() { (cd "$1" && find . -type f ! -name '*-of-*' -print0 | LC_ALL=C sort -z | xargs -0 sha256sum | sha256sum | cut -c1-64); }
now() { date +%s%N; }
# run OUT OPTIONS...: the batch, as a person would type it; the code is in $code
run() { local out=$1; shift; "$program" batch "$recipe" "$work/songs/*" --out "$out" --class "$@" > "$work/out.txt" 2> "$work/error.txt"; code=$?; }
rendered() { grep -cE ': (done|gate failed)$' "$work/error.txt"; } # of the songs told about, those that were not there before
same() { [ "$(tree "$1")" = "$expected" ]; }

rm -rf "${work:?}"/*
a=$((songs / 11 + 1)) b=$((songs / 2)) c=$((songs - songs / 7))
dotnet "$root/tests/Songs/bin/Release/net10.0/RenderGraph.Songs.dll" --situation kick-led-electronic --songs "$songs" --seconds "$seconds" --seed "$seed" --out "$work/songs" \
  --break "$a=missing-anchor" --break "$b=unreadable" --break "$c=mixed-rates" > "$work/broken.txt" || { echo "0 passed, 1 failed"; exit 1; }
good=$((songs - 3))
sleep 0.1; touch "$work/made"; sleep 0.1

# 1. Three songs are broken, each in its own way; they are named with reasons, and all others are rendered.
since=$(now); run "$work/first"; first=$((($(now) - since) / 1000000))
expected=$(tree "$work/first")
check "a batch with broken songs is code 1" [ "$code" = 1 ]
check "$good songs are rendered" [ "$(rendered)" = "$good" ]
check "each good song has its mix" [ "$(find "$work/first" -name mix.wav | wc -l)" = "$good" ]
while IFS=$'\t' read -r _ what folder; do
  check "the song that is broken by $what is named with a reason" grep -q "^  - $(basename "$folder"): .*RG[0-9]" "$work/out.txt"
done < "$work/broken.txt"
check "JUnit tells three errors" grep -q '<testsuites .* errors="3">' "$work/first/junit.xml"
check "batch.json is JSON" python3 -c 'import json, sys; assert json.load(open(sys.argv[1]))["counts"]["songs"] == int(sys.argv[2])' "$work/first/batch.json" "$songs"
check "nothing was written into a song's folder" [ -z "$(find "$work/songs" -newer "$work/made" -type f)" ]

# 2. Once more, and with other time stamps: nothing is rendered.
since=$(now); run "$work/first"; second=$((($(now) - since) / 1000000))
check "a second run renders nothing" [ "$(rendered)" = 0 ]
check "and leaves every byte" same "$work/first"
find "$work/songs" -type f -exec touch -d '2001-02-03' {} +
run "$work/first"
check "another time stamp renders nothing" [ "$(rendered)" = 0 ]

# 3. One sample of one stem.
stem=$(find "$work/songs" -type f -path '*/001 *' | LC_ALL=C sort | head -1)
cp "$stem" "$work/stem.wav"
python3 - "$stem" <<'PY'
import sys
data = bytearray(open(sys.argv[1], 'rb').read())
data[len(data) // 2] ^= 1
open(sys.argv[1], 'wb').write(data)
PY
run "$work/first"
check "one changed sample renders one song" [ "$(rendered)" = 1 ]
check "and that song" grep -qE '  001 [^:]*: (done|gate failed)$' "$work/error.txt"
cp "$work/stem.wav" "$stem"
run "$work/first"
check "put back, it gives the bytes that it gave" same "$work/first"

# 4. An output that was deleted, and one that was changed by hand.
rm "$(find "$work/first" -name mix.wav | LC_ALL=C sort | sed -n 2p)"
printf x >> "$(find "$work/first" -name sub-monitor.wav | LC_ALL=C sort | sed -n 4p)"
run "$work/first"
check "an output deleted and one changed render two songs" [ "$(rendered)" = 2 ]
check "and put everything right" same "$work/first"

# 5. Any number of workers, and parts.
for workers in 1 2 8; do
  run "$work/w$workers" --workers "$workers"
  check "$workers workers give the same bytes" same "$work/w$workers"
  rm -rf "$work/w$workers"
done
for part in 1 2 3 4 5; do "$program" batch "$recipe" "$work/songs/*" --out "$work/parts" --shard "$part/5" > "$work/part-$part.txt" 2>&1; done
"$program" batch merge "$work/parts" --out "$work/parts" --class > "$work/out.txt" 2>&1
check "five parts joined are code 1 too" [ $? = 1 ]
check "five parts joined give the same bytes" same "$work/parts"
rm -rf "$work/parts"

# 6. Killed at random moments, and run again.
for ((kill = 1; kill <= kills; kill++)); do
  "$program" batch "$recipe" "$work/songs/*" --out "$work/killed" --class > /dev/null 2>&1 &
  process=$!
  sleep "$(awk -v ms="$((50 + RANDOM % (first / 12 + 1)))" 'BEGIN { print ms / 1000 }')"
  command kill -KILL $process 2> /dev/null; wait $process 2> /dev/null
  broken=0
  while IFS= read -r -d '' file; do cmp -s "$work/killed/$file" "$work/first/$file" || broken=$((broken + 1)); done < <(cd "$work/killed" 2> /dev/null && find . -type f ! -name '*.part' -print0)
  check "killed the ${kill}th time, $broken files are neither whole nor absent" [ "$broken" = 0 ]
done
echo "killed $kills times, $(find "$work/killed" -name mix.wav 2> /dev/null | wc -l) songs were rendered then"
run "$work/killed"
check "run again, it gives the bytes of an undisturbed run" same "$work/killed"
check "and nothing unfinished is left" [ -z "$(find "$work/killed" -name '*.part')" ]
rm -rf "$work/killed"

# 7. Interrupted.
set -m
"$program" batch "$recipe" "$work/songs/*" --out "$work/interrupted" > "$work/out.txt" 2> "$work/error.txt" &
process=$!
sleep "$(awk -v ms="$((first / 4 + 100))" 'BEGIN { print ms / 1000 }')"
command kill -INT $process 2> /dev/null; wait $process; code=$?
set +m
check "an interrupted batch is code 130, or was done" [ "$code" = 130 -o "$code" = 1 ]
check "and leaves nothing unfinished" [ -z "$(find "$work/interrupted" -name '*.part')" ]
rm -rf "$work/interrupted" "$work/songs"

# 8. Names that systems find hard.
dotnet "$root/tests/Songs/bin/Release/net10.0/RenderGraph.Songs.dll" --situation kick-led-electronic --songs 24 --seconds 1 --seed "$seed" --out "$work/songs" --odd-names > "$work/odd.txt"
one=$(find "$work/songs" -mindepth 1 -maxdepth 1 -type d | LC_ALL=C sort | head -1)
deep=$work/songs/$(printf 'd%.0s' {1..200}); mkdir -p "$deep"
cp "$one"/* "$deep/" 2> /dev/null
for name in "-dash" "Case" "case" "[brackets]" "with  two blanks" "Żółć 歌 ✓" "a;b&c" "it's \"quoted\"" "100%" "~tilde" "\$HOME"; do mkdir "$work/songs/$name"; cp "$one"/* "$work/songs/$name/" 2> /dev/null; done
count=$(find "$work/songs" -mindepth 1 -maxdepth 1 -type d ! -name '.*' | wc -l)
run "$work/odd"
check "$count songs with odd names are all rendered" [ "$(find "$work/odd" -name mix.wav | wc -l)" = "$count" ]
check "each into a folder of its own, whatever the system thinks of letter case" [ "$(find "$work/odd" -mindepth 1 -maxdepth 1 -type d -printf '%f\n' | tr '[:upper:]' '[:lower:]' | sort -u | wc -l)" = "$count" ]

echo "first run ${first} ms, second run ${second} ms: $((first / (second > 0 ? second : 1))) times faster"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]

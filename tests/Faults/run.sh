#!/usr/bin/env bash
# Holds the built program against a hostile system: killed and interrupted at random moments, a full disk, folders and files without permission,
# two renders at once; and has the system itself tell (strace) that no input is ever opened for writing.
#
# usage: tests/Faults/run.sh WORK_FOLDER [PROGRAM]
#   PROGRAM  the built rendergraph (default: src/Cli/bin/Release/net10.0/rendergraph)
#   KILLS=N  how often a render is ended at a random moment (default 500); SEED=N another set of moments
#
# Ends with the plain line "N passed, N failed". What a machine cannot do is left out, and said.
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$1
program=${2:-$root/src/Cli/bin/Release/net10.0/rendergraph}
kills=${KILLS:-500}
RANDOM=${SEED:-1}
passed=0 failed=0

pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAILED: $*"; }
check() { local what=$1; shift; if "$@"; then pass; else fail "$what"; fi; }
hash() { sha256sum "$@" | cut -c1-64 | tr '\n' ' '; }
parts() { find "$1" -name '.*.part'; }
# one_sentence FILE: a single line, as a person would write it, and no trace of where in the program it happened
one_sentence() { [ "$(wc -l < "$1")" = 1 ] && grep -qE '^[^ ].*: RG[0-9]{3}: .+\. .+\.$' "$1"; }

rm -rf "$work"; mkdir -p "$work"; cd "$work" || exit 1
"$program" demo --out demo > demo.txt || { cat demo.txt; echo "0 passed, 1 failed"; exit 1; }
mkdir song; cp -r demo/stems song/stems
graph() { # graph NAME GAIN: two outputs that differ by the gain
  cat > "song/$1.json" <<JSON
{ "format": 1, "stems": { "kick": { "file": "stems/kick.wav" }, "sub": { "file": "stems/sub.wav" }, "voice": { "file": "stems/voice.wav" } },
  "anchor": { "stem": "kick", "frequencyHz": 52 },
  "nodes": { "room": { "type": "keyedCut", "in": "sub", "frequencyHz": "anchor", "depthDb": 9 }, "heard": { "type": "saturate", "in": "room", "driveDb": 6, "blend": 0.2 },
    "mix": { "type": "mix", "in": ["kick", "heard", "voice"], "gainDb": $2 }, "lows": { "type": "lowPass", "in": "mix", "frequencyHz": 120, "slopeDbPerOctave": 24 } },
  "outputs": { "mix": { "in": "mix", "file": "mix.wav" }, "lows": { "in": "lows", "file": "lows.wav" } } }
JSON
}
graph old -6
graph new -2
inputs=$(hash song/stems/*.wav song/old.json song/new.json)
"$program" render song/old.json --out old > /dev/null && "$program" render song/new.json --out new > /dev/null || { echo "0 passed, 1 failed"; exit 1; }

# 1. Ended at a random moment. Every output is the old one or the new one, whole; the inputs are what they were.
mkdir out; old=0 new=0 left=0 locks=0
mv song/new.lock.json lock.json # every render writes it anew
for ((kill = 1; kill <= kills; kill++)); do
  if [ $((kill % 50)) = 1 ]; then # a machine is not always as busy
    took=$(date +%s%N); "$program" render song/new.json --again --out timed --threads 2 > /dev/null; took=$((($(date +%s%N) - took) / 1000000)); rm -rf timed
  fi
  cp old/*.wav out/; rm -f song/new.lock.json
  signal=KILL; [ $((kill % 10)) = 8 ] && signal=TERM; [ $((kill % 10)) = 9 ] && signal=INT
  [ $signal = KILL ] || find out -name '.*.part' -delete # left by kills before; one that is ended before it begins to write sweeps nothing
  set -m # a job that hears SIGINT
  "$program" render song/new.json --out out --threads 2 > kill.txt 2> kill-error.txt &
  process=$!
  sleep "$(awk -v ms="$((took / 4 + RANDOM % (took * 4 / 5)))" 'BEGIN { print ms / 1000 }')" # from its first quarter on
  command kill -$signal $process 2> /dev/null
  wait $process 2> /dev/null; code=$?
  set +m
  trouble=
  for file in mix.wav lows.wav; do
    if cmp -s out/$file old/$file; then old=$((old + 1)); elif cmp -s out/$file new/$file; then new=$((new + 1)); else trouble="$file is neither the old nor the new one"; fi
  done
  if [ -e song/new.lock.json ]; then
    locks=$((locks + 1))
    cmp -s song/new.lock.json lock.json || trouble="the lock is not whole"
    cmp -s out/mix.wav new/mix.wav && cmp -s out/lows.wav new/lows.wav || trouble="there is a lock, but not all that it tells of"
  fi
  [ -n "$(parts out)" ] && left=$((left + 1))
  case $signal in
    KILL) case $code in 0 | 137) ;; *) trouble="killed, it gave code $code" ;; esac ;;
    *) case $code in
      0 | 130) [ -z "$(parts out)" ] || trouble="ended by $signal, it left $(parts out)" ;;
      143 | 130) ;; # before the program was there to hear it
      *) trouble="ended by $signal, it gave code $code" ;;
    esac ;;
  esac
  if [ -n "$trouble" ]; then fail "at moment $kill: $trouble"; else pass; fi
done
echo "$kills renders ended at random moments of about ${took} ms: outputs $old old and $new new, $locks locks, unfinished files left by $left"
check "the inputs are what they were after $kills kills" [ "$inputs" = "$(hash song/stems/*.wav song/old.json song/new.json)" ]
touch out/.gone.wav.part
"$program" render song/new.json --again --out out > /dev/null 2>&1
check "the next run takes away what was left" [ -z "$(parts out)" ]
check "and writes both outputs whole" cmp -s out/mix.wav new/mix.wav
check "its lock is whole, and no unfinished one is left" [ "$(cd song && ls -A | grep new)" = "$(printf 'new.json\nnew.lock.json')" ]
check "and nothing else is there" [ "$(ls -A out)" = "$(printf 'lows.wav\nmix.wav')" ]

# 2. Two renders into one folder: one writes, the other says so, or both are done one after the other.
"$program" render song/new.json --out both > one.txt 2> one-error.txt & one=$!
"$program" render song/new.json --out both > two.txt 2> two-error.txt & two=$!
wait $one; one=$?; wait $two; two=$?
for pair in "one $one" "two $two"; do
  # shellcheck disable=SC2086 # a name and a code
  set -- $pair
  check "render $1 of two ended with code 0 or 4" [ "$2" = 0 -o "$2" = 4 ]
  if [ "$2" = 4 ]; then check "and said why in a sentence" one_sentence "$1-error.txt"; fi
done
check "one of two renders at least is done" [ "$one" = 0 -o "$two" = 0 ]
check "what two renders wrote is whole" cmp -s both/mix.wav new/mix.wav
check "two renders leave no unfinished file" [ -z "$(parts both)" ]

# 3. A full disk: told, with code 4, and the old file is still there.
mkdir small
if mount -t tmpfs -o size=8m tmpfs small 2> /dev/null; then
  cp old/lows.wav small/lows.wav
  "$program" render song/new.json --out small > full.txt 2> full-error.txt; code=$?
  check "a full disk is code 4" [ "$code" = 4 ]
  check "and one sentence: $(cat full-error.txt)" one_sentence full-error.txt
  check "the old output is still there" cmp -s small/lows.wav old/lows.wav
  check "nothing unfinished is left on the full disk" [ "$(ls -A small)" = lows.wav ]
  umount small
else
  echo "left out: a full disk (no right to make one)"
fi

# 4. Without permission. The superuser is stopped by nothing, so it acts as nobody.
as=()
if [ "$(id -u)" = 0 ]; then as=(setpriv --reuid 65534 --regid 65534 --clear-groups --); fi
chmod -R a+rX . 2> /dev/null
if "${as[@]}" "$program" --version > /dev/null 2>&1 && "${as[@]}" test -r "$work/song/new.json"; then
  mkdir -p readonly; cp old/lows.wav readonly/; chmod 666 readonly/lows.wav; chmod 555 readonly
  "${as[@]}" "$program" render song/new.json --out readonly > read.txt 2> read-error.txt; code=$?
  check "a folder that may not be written to is code 4" [ "$code" = 4 ]
  check "and one sentence: $(cat read-error.txt)" one_sentence read-error.txt
  check "the old output is still there" [ "$(ls -A readonly)" = lows.wav ]
  chmod 755 readonly
  cp -r song locked; chmod 000 locked/stems/sub.wav
  "${as[@]}" "$program" render locked/new.json --out never > lock.txt 2> lock-error.txt; code=$?
  check "a stem that may not be read is code 3" [ "$code" = 3 ]
  check "and one sentence: $(cat lock-error.txt)" one_sentence lock-error.txt
  check "nothing is written then" [ ! -e never ]
  chmod 000 locked/new.json
  "${as[@]}" "$program" render locked/new.json > lock.txt 2> lock-error.txt; code=$?
  check "a graph that may not be read is code 3" [ "$code" = 3 ]
  check "and one sentence: $(cat lock-error.txt)" one_sentence lock-error.txt
  chmod -R u+rwX locked
else
  echo "left out: without permission (cannot act as somebody else)"
fi

# 5. The system's own word: every open of an input is for reading only, and nothing else is done to one.
if command -v strace > /dev/null && strace -o /dev/null true 2> /dev/null; then
  strace -f -y -s 4096 -o trace.txt -e trace=%file,ftruncate,pwrite64,write,fallocate,fchmod "$program" render song/new.json --out traced > /dev/null
  check "strace saw the stems being opened" [ "$(grep -cE 'open(at)?\(.*song/stems/[a-z]+\.wav"' trace.txt)" -ge 3 ]
  check "every input is opened for reading only" [ -z "$(grep -E 'open(at|at2)?\(.*song/(stems/[a-z]+\.wav|new\.json)"' trace.txt | grep -vE 'O_RDONLY|O_PATH' | grep -v ENOENT)" ]
  check "no open of an input makes or empties it" [ -z "$(grep -E 'open(at|at2)?\(.*song/(stems/|new\.json)' trace.txt | grep -E 'O_CREAT|O_TRUNC|O_APPEND|O_WRONLY|O_RDWR')" ]
  check "nothing is done to an input but looking" [ -z "$(grep -E '\b(rename|renameat|renameat2|unlink|unlinkat|truncate|chmod|chown|fchmodat|utimensat|link|linkat|symlink|symlinkat|mkdir|rmdir)\(.*"[^"]*song/(stems/|new\.json")|(ftruncate|fchmod|pwrite64|write|fallocate)\([0-9]+<[^>]*song/(stems/|new\.json>)' trace.txt)" ]
else
  echo "left out: what strace tells (not here, or not allowed)"
fi

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]

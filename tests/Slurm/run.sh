#!/usr/bin/env bash
# A batch on Slurm: two nodes on this one machine (loopback), the array script of graphs/recipes/machines, and the join; held against a run without Slurm, byte for byte.
#
# usage: tests/Slurm/run.sh WORK_FOLDER [PROGRAM]
#   PROGRAM  the built rendergraph (default: src/Cli/bin/Release/net10.0/rendergraph)
#   SONGS=N  how many songs (default 10)
#
# Needs Debian's slurmctld, slurmd, slurm-client and munge, which it installs where it may (root, apt-get). Where that cannot be, it says "left out" and ends with code 0.
# Ends with the plain line "N passed, N failed".
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
mkdir -p "$1"; work=$(cd "$1" && pwd)
program=${2:-$root/src/Cli/bin/Release/net10.0/rendergraph}
songs=${SONGS:-10}
passed=0 failed=0
check() { local what=$1; shift; if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED: $what"; fi; }
left_out() { echo "left out: $*"; echo "0 passed, 0 failed"; exit 0; }

[ "$(id -u)" = 0 ] || left_out "Slurm (needs root)"
if ! command -v slurmctld > /dev/null || ! command -v slurmd > /dev/null || ! command -v munged > /dev/null; then
  command -v apt-get > /dev/null || left_out "Slurm (no apt-get)"
  # Nothing is started by the installation: this script starts its own.
  apt-get install -y --no-install-recommends slurmctld slurmd slurm-client munge > "$work/apt.txt" 2>&1 || left_out "Slurm (its packages cannot be installed)"
fi

# A cluster of its own: ports, folders and a key that nobody else uses.
conf=$work/slurm; rm -rf "$conf" "$work/out" "$work/local" "$work/songs"; mkdir -p "$conf/state" "$conf/n1" "$conf/n2"
export SLURM_CONF=$conf/slurm.conf
processes=()
stop() { for process in "${processes[@]}"; do kill "$process" 2> /dev/null; done; wait 2> /dev/null; }
trap stop EXIT
key=$conf/munge.key; dd if=/dev/urandom of="$key" bs=64 count=1 2> /dev/null; chmod 600 "$key"
socket=$(mktemp -d)/munge # a socket's path may not be long
chmod 711 "$(dirname "$socket")"
munged --foreground --force --key-file="$key" --socket="$socket" --pid-file="$conf/munged.pid" --seed-file="$conf/munge.seed" --log-file="$conf/munged.log" --num-threads=2 > "$conf/munged.out" 2>&1 &
processes+=($!)
base=$((20000 + RANDOM % 20000))
cpus=$(nproc)
cat > "$SLURM_CONF" <<CONF
ClusterName=loopback
SlurmctldHost=$(hostname -s)(127.0.0.1)
SlurmctldPort=$base
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=$socket
CryptoType=crypto/munge
MpiDefault=none
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
SchedulerType=sched/backfill
SchedulerParameters=sched_interval=1,batch_sched_delay=0
ReturnToService=2
StateSaveLocation=$conf/state
SlurmdSpoolDir=$conf/%n
SlurmctldPidFile=$conf/slurmctld.pid
SlurmdPidFile=$conf/slurmd-%n.pid
SlurmctldLogFile=$conf/slurmctld.log
SlurmdLogFile=$conf/slurmd-%n.log
SlurmctldParameters=enable_configless
MailProg=/bin/true
KillWait=5
NodeName=n1 NodeHostname=$(hostname -s) NodeAddr=127.0.0.1 Port=$((base + 1)) CPUs=$cpus RealMemory=2000 State=UNKNOWN
NodeName=n2 NodeHostname=$(hostname -s) NodeAddr=127.0.0.1 Port=$((base + 2)) CPUs=$cpus RealMemory=2000 State=UNKNOWN
PartitionName=all Nodes=n1,n2 Default=YES MaxTime=INFINITE State=UP
CONF
for ((try = 0; try < 50; try++)); do [ -S "$socket" ] && break; sleep 0.1; done
slurmctld -D -f "$SLURM_CONF" > "$conf/slurmctld.out" 2>&1 & processes+=($!)
slurmd -D -N n1 -f "$SLURM_CONF" > "$conf/n1.out" 2>&1 & processes+=($!)
slurmd -D -N n2 -f "$SLURM_CONF" > "$conf/n2.out" 2>&1 & processes+=($!)
for ((try = 0; try < 100; try++)); do [ "$(sinfo -h -t idle -o %D 2> /dev/null | head -1)" = 2 ] && break; sleep 0.2; done
if [ "$(sinfo -h -t idle -o %D 2> /dev/null | head -1)" != 2 ]; then
  tail -3 "$conf"/*.out "$conf"/*.log
  left_out "Slurm (its daemons do not run here)"
fi
echo "$(slurmd -V): $(sinfo -h -o '%D nodes, %c processors each')"

# Songs that need no generator: the demo's stems, one song for each, of which two are broken.
"$program" demo --out "$work/demo" > "$work/demo.txt" || { echo "0 passed, 1 failed"; exit 1; }
for ((song = 1; song <= songs; song++)); do
  mkdir -p "$work/songs/song $song"
  cp -al "$work/demo/stems" "$work/songs/song $song/stems"
done
rm "$work/songs/song 2/stems"/*
rm "$work/songs/song 7/stems/sub.wav"; echo "no sound" > "$work/songs/song 7/stems/sub.wav"
recipe=$work/demo/first-light.json

cd "$work" || exit 1
"$program" batch "$recipe" "$work/songs/*" --out local --class > local.txt 2> local-error.txt
check "the run without Slurm names the two broken songs" [ $? = 1 ]

export RENDERGRAPH=$program
array=$root/graphs/recipes/machines/slurm.sbatch
job=$(sbatch --parsable --array=1-5 --cpus-per-task=1 --mem=500 "$array" "$recipe" "$work/out" "$work/songs/*")
check "the array is taken" [ -n "$job" ]
join=$(sbatch --parsable --dependency=afterany:"$job" --cpus-per-task=1 --mem=500 --job-name=low-end-join --output=%x.log --wrap "'$program' batch merge '$work/out' --out '$work/out' --class")
check "the join is taken" [ -n "$join" ]
for ((try = 0; try < 300; try++)); do [ -z "$(squeue -h -j "$job,$join" 2> /dev/null)" ] && break; sleep 0.2; done
check "array and join come to their end" [ -z "$(squeue -h -j "$job,$join" 2> /dev/null)" ]
check "both nodes worked" [ "$(for log in "$conf"/slurmd-n*.log "$conf"/n?.out; do grep -lE "Launching batch job|launch_batch_job|task [0-9]+ \(" "$log" 2> /dev/null; done | grep -oE 'n[12]\.' | sort -u | wc -l)" = 2 ]
check "five parts wrote their results" [ "$(ls out/batch.*-of-5.json 2> /dev/null | wc -l)" = 5 ]
for file in batch.json junit.xml album.txt class.md; do
  check "$file is that of the run without Slurm" cmp "local/$file" "out/$file"
done
check "and so is every song's folder" diff -r -q -x 'batch*.json' -x 'junit*.xml' local out

# One part once more, as after a failure: it knows its place by its number, and nothing changes.
again=$(PARTS=5 sbatch --parsable --array=3 --cpus-per-task=1 --mem=500 --output=again.log "$array" "$recipe" "$work/out" "$work/songs/*")
for ((try = 0; try < 150; try++)); do [ -z "$(squeue -h -j "$again" 2> /dev/null)" ] && break; sleep 0.2; done
check "a part sent again is the same part" grep -q "part 3 of 5" again.log
check "and changes nothing" diff -r -q -x 'batch*.json' -x 'junit*.xml' local out
check "the join's log names the broken songs" grep -q 'song 7' low-end-join.log

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]

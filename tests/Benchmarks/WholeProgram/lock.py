#!/usr/bin/env python3
"""What a lock spares: a render that has to be done against one that has not, and how fast the difference is found out.

usage: lock.py WORK_FOLDER [--runs 5]

On compare.py's sessions, 24 stems of 4 minutes and 8 of 5 s, taking turns: `render --again`, `render` with nothing to do, one thread and two; `explain`; the bare reading of
the same files by `cat > /dev/null`, and `xxhsum -H2` of them (Debian's xxhash), which is one thread. Needs Debian's python3-numpy.
"""
import argparse, glob, os, sys

from compare import build, session, show, turns


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("work"), arguments.add_argument("--runs", type=int, default=5)
    arguments = arguments.parse_args()
    program, _ = build()
    for stems, seconds in [(24, 240), (8, 5)]:
        folder = session(arguments.work, stems, seconds)
        out = os.path.join(arguments.work, "out", f"lock{stems}x{seconds}")
        render = [program, "render", os.path.join(folder, "session.json"), "--out", out]
        commands = {f"render, {threads} thread{'s'[:threads - 1]}": [*render, "--again", "--threads", str(threads)] for threads in (1, 2)}
        commands |= {f"nothing to do, {threads} thread{'s'[:threads - 1]}": [*render, "--threads", str(threads)] for threads in (1, 2)}
        commands |= {"explain": [program, "explain", *render[2:]], "--version": [program, "--version"]}
        turns({"first": commands["render, 1 thread"]}, 1)
        files = sorted(glob.glob(os.path.join(folder, "stem*.wav")) + glob.glob(os.path.join(out, "*.wav")))
        commands["cat > /dev/null"] = ["cat", *files]
        if os.path.exists("/usr/bin/xxhsum"):
            commands["xxhsum -H2"] = ["xxhsum", "-H2", *files]
        medians = turns(commands, arguments.runs)
        size = sum(os.path.getsize(file) for file in files) / 1e6
        show(f"{stems} stems of {seconds} s, {size:.0f} MB with outputs", medians)
        start = medians["--version"][0]
        for name, (wall, _, _) in medians.items():
            if name.startswith(("nothing", "cat", "xxhsum")):
                own = wall - (start if name.startswith("nothing") else 0)
                print(f"{name:28}{size / max(own, 1e-3):9.0f} MB/s{' without the start' if own != wall else ''}")
        for threads in ("1 thread", "2 threads"):
            print(f"render / nothing to do, {threads:10}{medians['render, ' + threads][0] / medians['nothing to do, ' + threads][0]:7.1f}")
        sys.stdout.flush()


if __name__ == "__main__":
    main()

#!/usr/bin/env python3
"""How fast and how large `analyze` and `propose` are on whole sessions: times real time, and peak memory.

usage: analyze.py WORK_FOLDER [--runs 5]

The sessions are those of compare.py (24 stems of 4 minutes, then as many of 1 minute and of 8, and 48 of 1 minute), on two threads.
Needs Debian's python3-numpy. Peak memory is the process's own (maximum resident set).
"""
import argparse, os, statistics, sys

from compare import build, run, session


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("work")
    arguments.add_argument("--runs", type=int, default=5)
    arguments = arguments.parse_args()
    ours, _ = build()
    print("command  stems  seconds  median s  x real time  CPU s  peak MB")
    for command, stems, seconds in [("analyze", 24, 240), ("analyze", 24, 60), ("analyze", 24, 480), ("analyze", 48, 60), ("propose", 24, 240)]:
        folder = session(arguments.work, stems, seconds)
        extra = ["--force", "--out", os.path.join(folder, "proposed.json")] if command == "propose" else []
        measured = [run([ours, command, folder, "--threads", "2", *extra]) for _ in range(arguments.runs)]
        wall, cpu, memory = (statistics.median(column) for column in zip(*measured))
        print(f"{command:8} {stems:5} {seconds:8} {wall:9.2f} {seconds / wall:12.0f} {cpu:6.2f} {memory:8.0f}")
        sys.stdout.flush()


if __name__ == "__main__":
    main()

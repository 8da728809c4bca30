#!/usr/bin/env python3
"""What measuring costs: a whole render with all measures at both outputs against the same render without, in turns. The ratio of medians is asked to be at most 1.35.

usage: measures.py WORK_FOLDER [--runs 5] [--threads 2]

The session is that of compare.py, 24 stems of 4 minutes. What the program calls its measures it says itself, so that none is forgotten. "All" is what "measure": true asks for and
all that is held against the anchor; what a part plays, how it does on small speakers, and how loud a limiter could make it, are tries of their own and shown beside it. Needs Debian's python3-numpy.
"""
import argparse, json, os, re, subprocess, sys

from compare import build, ours, session, show, turns

MOST = 1.35
APART = re.compile("hitCount|dominantFrequency|speaker|limite")


def names(program, folder):
    """All measures, from the message about one that there is not."""
    graph = os.path.join(folder, "unknown.json")
    with open(graph, "w") as file:
        json.dump({"format": 1, "stems": {"a": {"file": "stem01.wav", "measure": ["?"]}}, "nodes": {}, "outputs": {"a": {"in": "a", "file": "a.wav"}}}, file)
    told = subprocess.run([program, "check", graph], capture_output=True, text=True).stderr
    os.remove(graph)
    return re.split(", | and ", re.search(r"The measures are (.*)\.", told).group(1))


def measured(folder, name, measure, has_hits=True):
    """The session's graph with something measured at both outputs. The anchor's hits are found in all but one: as where nodes move by them, though here none does."""
    graph = json.load(open(os.path.join(folder, "session.json")))
    for output in graph["outputs"].values() if measure else []:
        output["measure"] = measure
    if has_hits:
        graph["anchor"]["hits"] = "measure"
        for step in (step for node in graph["nodes"].values() for step in node.get("steps", []) if step["type"] == "keyedCut"):
            step["mode"] = "follow"
    with open(os.path.join(folder, name), "w") as file:
        json.dump(graph, file)
    return name


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("work"), asked.add_argument("--runs", type=int, default=5), asked.add_argument("--threads", type=int, default=2)
    asked = asked.parse_args()
    program, _ = build()
    folder = session(asked.work, 24, 240)
    every = names(program, folder)
    graphs = {
        "without, hits not found": measured(folder, "bare.json", None, has_hits=False),
        "without": measured(folder, "without.json", None),
        '"measure": true': measured(folder, "usual.json", True),
        "all": measured(folder, "signals.json", [name for name in every if not APART.match(name)]),
        "and those apart": measured(folder, "everything.json", every),
    }
    medians = turns({name: ours(program, folder, os.path.join(asked.work, "out"), asked.threads, graph) for name, graph in graphs.items()}, asked.runs)
    show(f"24 stems of 4 minutes, {len(every)} measures at both outputs, {asked.threads} threads", medians)
    for name, (wall, cpu, _) in medians.items():
        print(f"{name:28}{wall / medians['without'][0]:9.2f}{cpu / medians['without'][1]:9.2f}  times the render without")
    sys.exit(0 if medians["all"][0] <= MOST * medians["without"][0] else f"measuring costs more than {MOST} times the render without")


if __name__ == "__main__":
    main()

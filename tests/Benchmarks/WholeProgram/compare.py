#!/usr/bin/env python3
"""Compares whole programs on the same session: ours, the peer (one general-purpose filter tool doing the nearest chain) and the floor (read, convert, sum, write).

usage: compare.py WORK_FOLDER [--runs 5] [--only main,length,stems,short,cold] [--aot PATH_TO_AOT_BINARY]

Needs Debian's python3-numpy (for make_session.py) and ffmpeg (for peer.sh), and builds ours and the floor itself. The programs take turns within one run,
and ratios are of medians: machines are shared, and absolute times wander. WORK_FOLDER gets some 7 GB of sessions.
"""
import argparse, json, os, re, statistics, subprocess, sys, time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.abspath(os.path.join(HERE, "..", "..", ".."))
PYTHON = "/usr/bin/python3"


def build():
    subprocess.run(["dotnet", "build", "-c", "Release", os.path.join(ROOT, "src", "Cli")], check=True, stdout=subprocess.DEVNULL)
    subprocess.run(["dotnet", "build", "-c", "Release", os.path.join(HERE, "floor")], check=True, stdout=subprocess.DEVNULL)
    return (os.path.join(ROOT, "src", "Cli", "bin", "Release", "net10.0", "rendergraph"),
            os.path.join(HERE, "floor", "bin", "Release", "net10.0", "floor"))


def session(work, stems, seconds):
    """The stems, and the graph for so many of them, in a folder of their own."""
    folder = os.path.join(work, f"{stems}x{seconds}")
    if not os.path.exists(os.path.join(folder, f"stem{stems:02d}.wav")):
        subprocess.run([PYTHON, os.path.join(HERE, "make_session.py"), folder, "--stems", str(stems), "--seconds", str(seconds)], check=True)
    text = open(os.path.join(ROOT, "graphs", "twenty-four-stems.json")).read()
    for name, graph in (("session.json", resized(text, stems)), ("alike.json", alike(text, stems))):
        with open(os.path.join(folder, name), "w") as file:
            file.write(graph)
    return folder


def parsed(text):
    """A graph with comments, as JSON."""
    return json.loads(re.sub(r"^\s*//.*$", "", text, flags=re.M))


def resized(text, stems):
    """The graph of 24 stems with fewer or more of them; a stem past the 24th is treated like the 13th."""
    graph = parsed(text)
    plain = graph["nodes"]["part13"]
    for number in range(1, 49):
        stem, part = f"stem{number:02d}", f"part{number:02d}"
        if number > stems:
            graph["stems"].pop(stem, None), graph["nodes"].pop(part, None)
        elif stem not in graph["stems"]:
            graph["stems"][stem] = {"file": stem + ".wav"}
            graph["nodes"][part] = dict(json.loads(json.dumps(plain)), **{"in": stem})
    graph["nodes"]["mix"]["in"] = [f"part{number:02d}" for number in range(1, stems + 1)]
    return json.dumps(graph)


def alike(text, stems):
    """So many stems that all get the same, the 9th's high-pass, bell and keyed cut, so that the cost of a stem can be told."""
    graph = json.loads(resized(text, stems))
    whole = parsed(text)
    for number in range(2, stems + 1):
        graph["nodes"][f"part{number:02d}"] = dict(json.loads(json.dumps(whole["nodes"]["part09"])), **{"in": f"stem{number:02d}"})
    return json.dumps(graph)


def run(command):
    """Wall seconds, CPU seconds, peak MB."""
    started = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    wall = time.perf_counter() - started
    if status != 0:
        sys.exit(f"failed with {status}: {' '.join(command)}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def turns(commands, runs, before=lambda: None):
    """Medians for each command, the commands taking turns; the first turn only warms up."""
    taken = {name: [] for name in commands}
    for turn in range(runs + 1):
        for name, command in commands.items():
            before()
            figures = run(command)
            if turn > 0:
                taken[name].append(figures)
    return {name: tuple(statistics.median(column) for column in zip(*figures)) for name, figures in taken.items()}


def show(title, medians):
    print(f"\n{title}\n{'':28}{'wall s':>9}{'CPU s':>9}{'peak MB':>9}")
    for name, (wall, cpu, peak) in medians.items():
        print(f"{name:28}{wall:9.3f}{cpu:9.3f}{peak:9.0f}")
    sys.stdout.flush()


def ours(program, folder, out, threads, graph="session.json"):
    return [program, "render", os.path.join(folder, graph), "--out", os.path.join(out, f"ours{threads}"), "--threads", str(threads), "--again", "--measure"]


def fit(points):
    """Least squares line through (x, y); the largest residual relative to the value."""
    n, sx, sy = len(points), sum(x for x, _ in points), sum(y for _, y in points)
    sxx, sxy = sum(x * x for x, _ in points), sum(x * y for x, y in points)
    slope = (n * sxy - sx * sy) / (n * sxx - sx * sx)
    base = (sy - slope * sx) / n
    return base, slope, max(abs(base + slope * x - y) / y for x, y in points)


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("work"), asked.add_argument("--runs", type=int, default=5)
    asked.add_argument("--only", default="main,length,stems,short,cold"), asked.add_argument("--aot")
    asked = asked.parse_args()
    what, (program, floor) = asked.only.split(","), build()
    out = os.path.join(asked.work, "out")
    os.makedirs(out, exist_ok=True)

    if "main" in what or "cold" in what:
        folder = session(asked.work, 24, 240)
        programs = {
            "peer": ["bash", os.path.join(HERE, "peer.sh"), folder, os.path.join(out, "peer"), "24"],
            "floor, 1 thread": [floor, folder, os.path.join(out, "floor.wav"), "1", "double"],
            "floor, 2 threads": [floor, folder, os.path.join(out, "floor.wav"), "2", "double"],
            "ours, 1 thread": ours(program, folder, out, 1),
            "ours, 2 threads": ours(program, folder, out, 2),
        }
        if asked.aot:
            programs["ours, 1 thread, AOT"] = ours(asked.aot, folder, out, 1)
            programs["ours, 2 threads, AOT"] = ours(asked.aot, folder, out, 2)
    if "main" in what:
        medians = turns(programs, asked.runs)
        show("24 stems x 4 min, warm", medians)
        peer, floor2 = medians["peer"], medians["floor, 2 threads"]
        for name in (name for name in medians if name.startswith("ours")):
            wall, cpu, _ = medians[name]
            print(f"{name:28} wall 1/{peer[0] / wall:.1f} and CPU 1/{peer[1] / cpu:.1f} of the peer's; {wall / floor2[0]:.2f} times the floor's wall on 2 threads")
    if "cold" in what:
        def forget():
            subprocess.run(["sync"], check=True)
            with open("/proc/sys/vm/drop_caches", "w") as caches:
                caches.write("3")
        show("24 stems x 4 min, cold page cache", turns({name: programs[name] for name in ("floor, 2 threads", "ours, 2 threads")}, 3, forget))
    for kind, sizes in (("length", [(24, 60), (24, 240), (24, 960)]), ("stems", [(6, 240), (12, 240), (24, 240), (48, 240)])):
        if kind not in what:
            continue
        folders = {size: session(asked.work, *size) for size in sizes}
        graph = "alike.json" if kind == "stems" else "session.json"
        medians = turns({f"{stems} stems x {seconds} s": ours(program, folders[stems, seconds], out, 2, graph) for stems, seconds in sizes}, asked.runs)
        show(f"against {kind}, 2 threads", medians)
        points = [(seconds if kind == "length" else stems, medians[f"{stems} stems x {seconds} s"][1]) for stems, seconds in sizes]
        base, slope, residual = fit(points)
        print(f"CPU s = {base:.3f} + {slope:.5f} x {'seconds' if kind == 'length' else 'stems'}; largest residual {100 * residual:.1f} %")
    if "short" in what:
        folder = session(asked.work, 8, 5)
        programs = {"ours, JIT": ours(program, folder, out, 2), "--version, JIT": [program, "--version"]}
        if asked.aot:
            programs |= {"ours, AOT": ours(asked.aot, folder, out, 2), "--version, AOT": [asked.aot, "--version"]}
        show("8 stems x 5 s", turns(programs, 2 * asked.runs))


if __name__ == "__main__":
    main()

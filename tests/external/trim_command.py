"""Trim as a machinist runs it. Argument: program (its trim program through the open rs274 interpreter, linuxcnc-uspace, swept here
with numpy against the chamber as it stood) or log (twenty at once)."""
import hashlib
import html
import json
import math
import os
import pathlib
import re
import subprocess
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import lathe_sweep
import rs274_run
from rs274_programs import cut_depth

PROGRAM = os.environ["CHAMBER_PROGRAM"]
RINGS = 40000
LIMIT_CC = 0.02
failures = []


def check(ok, what):
    print("ok  " if ok else "FAIL", what)
    if not ok:
        failures.append(what)


def precise(spec):
    """The spec with a good burette and limits wide enough for any cut that is asked for here."""
    text = spec.read_text().replace('"lathes/', f'"{lathe_sweep.PROFILES}/lathes/')
    assert "[uncertainty]" not in text or spec.stem == "sites"
    text = text.replace('gap_min = "1.0 mm"', 'gap_min = "0.8 mm"').replace('gap_min = "0.85 mm"', 'gap_min = "0.6 mm"')
    path = pathlib.Path(spec.name)
    path.write_text(text + '\n[uncertainty]\nhead_volume = "0.03 cc"\n')
    return path


def trim(spec, cc, *more):
    done = subprocess.run([PROGRAM, "trim", str(spec), "--measured", f"{cc:.4f} cc", "--filled", "plug fitted", "-o", spec.stem, "--json",
                           *map(str, more)], capture_output=True, text=True)
    return done, json.loads(done.stdout) if done.stdout else None


def heights(profile, r):
    """Depth of the metal's surface over each ring, from the profile's lines and arcs alone."""
    z = np.zeros_like(r)
    for s in profile:
        (r0, z0), (r1, z1) = s["start_rz_mm"], s["end_rz_mm"]
        inside = (r <= r0) & (r > r1)
        if "radius_mm" in s:
            rc, zc = s["centre_rz_mm"]
            side = 1 if s["counter_clockwise"] else -1
            z[inside] = zc + side * np.sqrt(np.maximum(0, s["radius_mm"] ** 2 - (r[inside] - rc) ** 2))
        elif r0 > r1:
            z[inside] = z0 + (z1 - z0) * (r0 - r[inside]) / (r0 - r1)
    return z


def swept(spec, design, report):
    """cc of the cavity over its new face after the program, and of the design by the same rings."""
    setup = report["turning"]["setups"][0]
    tools = lathe_sweep.tools_of(setup)
    table = pathlib.Path("tools.tbl")
    table.write_text("".join(f"T{n} P{n} X0 Z0 D{2 * t['nose_mm'] / 25.4:.5f} Q{t['orientation']}\n" for n, t in tools.items()))
    code, calls, complaint = rs274_run.run(pathlib.Path(spec.stem) / setup["program"], table)
    assert code == 0 and "G96" not in complaint, complaint
    moves = [m for m in rs274_run.moves(calls) if m["tool"]]
    rim = design["dimensions"]["rim_radius_mm"]
    r = (np.arange(RINGS) + 0.5) * rim / RINGS
    stood = heights(design["dimensions"]["profile"], r)
    step = rim / RINGS
    area = 2 * np.pi * r * step
    # The tool numbered 1 is stepped coarsely by the common sweep, where it is a drill.
    cut = cut_depth([{**m, "tool": m["tool"] + 100} for m in moves], {n + 100: t for n, t in tools.items()}, r)
    hole = r < 12.75 / 2  # M14x1.25 tap drill; the plug closes it at the roof
    now = np.maximum(stood, cut)
    roof = max(now[~hole][np.argmin(r[~hole])], stood[~hole][np.argmin(r[~hole])])
    now[hole] = roof
    face = -min(m["end"][0] for m in moves) if report["recommended"] == "face" else 0.0
    return float(np.sum((now - face) * area) / 1000), float(np.sum(stood * area) / 1000)


def program():
    kinds = set()
    for name in ("demo", "toroidal", "two-radius", "flat-roof", "inch"):
        spec = precise(lathe_sweep.PROFILES / f"{name}.toml")
        lathe = () if name == "demo" else ("--lathe", lathe_sweep.PROFILES / "lathes" / "bench-rear-mm.toml")
        done = subprocess.run([PROGRAM, "design", str(spec), "-o", f"{name}-design", "--json", *map(str, lathe)], capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        design = json.loads(done.stdout)
        wanted = design["volumes_cc"]["target"]
        for error in (-0.3, -0.15, 0.15):
            done, report = trim(spec, wanted + error, *lathe)
            if not (report and report.get("turning")):
                check(done.returncode == 4 and error > 0 and report["ways"][0]["against"], f"{name} {error:+}: only facing may be refused, {done.stderr.strip()[:200]}")
                continue
            way = next(w for w in report["ways"] if w["mend"] == report["recommended"])
            after, before = swept(spec, design, report)
            change = after - before - way["plug_thread_cc"]
            kinds.add(report["recommended"])
            page = pathlib.Path(next(f for f in report["files"] if f.endswith("-trim.html"))).read_text()
            text = html.unescape(re.sub(r"<[^>]*>", " ", re.sub(r"<(style|script).*?</\1>", " ", page, flags=re.S)))
            said = [f"{report[k]:.2f} cc" for k in ("measured_cc", "wanted_cc")] + [f"± {2 * report['uncertainty_cc']:.2f} cc (95 %)"]
            bytes_cut = (pathlib.Path(spec.stem) / report["turning"]["setups"][0]["program"]).read_bytes()
            check(all(w in text for w in [*said, "sha256 " + hashlib.sha256(bytes_cut).hexdigest()[:8]]), f"{name} {error:+}: the sheet has its figures and the program's hash")
            check(abs(before - design["volumes_cc"]["profile"]) < 0.002, f"{name}: rings hold {before:.4f} cc before")
            check(abs(change + error) <= LIMIT_CC, f"{name} {error:+}: {report['recommended']} changes {change:+.4f} cc")
            check(abs(report["program_cc"] - wanted) <= 0.01, f"{name} {error:+}: {report['program_cc']:.4f} cc said, {wanted:.4f} wanted")
    check({"face", "deepen_bowl"} <= kinds, f"ways cut: {sorted(kinds)}")
    # Facing by hand: the rim is a cylinder over the first 0.03 mm.
    spec = precise(lathe_sweep.PROFILES / "demo.toml")
    _, report = trim(spec, 21.65)
    way = report["ways"][0]
    rim = json.loads((pathlib.Path("demo-design") / "sand-drag-250.json").read_text())["dimensions"]["rim_radius_mm"]
    check(abs(way["cc_per_tenth_mm"] + math.pi * rim**2 * 0.1 / 1000) < 1e-6, "0.1 mm off the face is pi r^2 0.1")
    # A program reads the same way twice, but for the date.
    first = pathlib.Path("demo/sand-drag-250-trim.ngc").read_bytes()
    trim(spec, 21.65)
    check(first == pathlib.Path("demo/sand-drag-250-trim.ngc").read_bytes(), "the same program again")


def log():
    spec = precise(lathe_sweep.PROFILES / "demo.toml")
    path = pathlib.Path("shared-log.jsonl")
    path.write_text('{"schema":"chamber.log","schema_ve')  # torn by a power cut
    runs = [subprocess.Popen([PROGRAM, "trim", str(spec), "--measured", f"{21.3 + i / 100:.2f} cc", "--filled", "plug fitted", "--insert", str(i),
                              "-o", f"out-{i}", "--log", str(path)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for i in range(20)]
    check([p.wait() for p in runs] == [0] * 20, "twenty at once end well")
    lines = path.read_text().split("\n")
    check(len(lines) == 22 and lines[-1] == "", f"{len(lines) - 1} lines, the last one ended")
    entries = [json.loads(line) for line in lines[1:-1]]
    check(sorted(int(e["insert"]) for e in entries) == list(range(20)), "every insert once")
    check(all(e["schema"] == "chamber.log" and e["wanted_cc"] == 21.5 for e in entries), "whole lines")
    done, report = trim(spec, 21.5, "--log", path, "--insert", 99)
    check(report["offset"]["inserts"] == 21, "all of them count")
    # Mean by hand: 21.3 + 0.095 - 21.5 over twenty, and one of nothing.
    check(abs(report["offset"]["mean_cc"] - 20 * -0.105 / 21) < 1e-6, "their mean")
    check(any("1 line" in n for n in report["notes"]), "the torn line is said")
    # What cannot be meant is refused, in words, and leaves no trace.
    for arguments, words in ((["--measured", "21.5", "--filled", "plug fitted"], "--measured"),
                             (["--measured", "21.5 cc", "--filled", "plug fited"], 'did you mean "plug fitted"'),
                             (["--measured", "21.5 cc"], "--filled"), (["--measured", "nan cc", "--filled", "plug fitted"], "--measured"),
                             (["--measured", "9 cc", "--filled", "plug fitted"], "no insert of this design")):
        refused = subprocess.run([PROGRAM, "trim", str(spec), "-o", "nothing", *arguments], capture_output=True, text=True)
        check(refused.returncode == 2 and words in refused.stderr, f"{arguments}: {refused.stderr.strip()[:120]}")
    check(not pathlib.Path("nothing").exists(), "no folder is made")


{"program": program, "log": log}[sys.argv[1]]()
sys.exit(1 if failures else 0)

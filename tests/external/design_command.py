#!/usr/bin/python3
"""The program as a builder runs it, on every spec in profiles/: exit codes, JSON, files, and the same files again.

Argument: what to check (specs, mistakes, examples). The program is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys

PROGRAM = os.environ["CHAMBER_PROGRAM"]
SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
HERE = pathlib.Path.cwd()
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def run(*arguments, env=None, cwd=None, stdin=None):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, cwd=cwd, input=stdin,
                          env={**os.environ, **(env or {})})


def specs():
    found = sorted((SOURCE / "profiles").glob("*.toml"))
    check(len(found) >= 5, "at least five specs")
    for spec in found:
        out = HERE / spec.stem
        r = run("design", spec, "-o", out, "--json")
        check(r.returncode == 0, f"{spec.name}: exit code {r.returncode}: {r.stderr}")
        if r.returncode:
            continue
        check(r.stderr == "", f"{spec.name}: nothing on stderr")
        j = json.loads(r.stdout)
        check((j["schema"], j["schema_version"], j["status"]) == ("chamber.design", 2, "done"), f"{spec.name}: schema")
        v = j["volumes_cc"]
        check(set(v) == {"target", "profile", "quadrature", "solid", "mesh", "step", "program"}, f"{spec.name}: volumes")
        check(abs(v["profile"] - v["target"]) < 0.005, f"{spec.name}: target")
        for k in ("quadrature", "solid", "step"):
            check(abs(v[k] / v["profile"] - 1) < 1e-9, f"{spec.name}: {k} {v[k]}")
        check(abs(v["mesh"] / v["profile"] - 1) < 5e-5, f"{spec.name}: mesh")
        check(abs(v["mesh"] - v["profile"]) <= j["mesh_bound_cc"], f"{spec.name}: mesh bound")
        check(abs(v["program"] - v["profile"]) < 0.01, f"{spec.name}: program")
        check(all(c["ok"] for c in j["checks"]) and len(j["checks"]) > 12, f"{spec.name}: checks")
        for f in j["files"]:
            check(pathlib.Path(f["path"]).stat().st_size > 500, f"{spec.name}: {f['path']}")
        check(sorted(p.name for p in out.iterdir()) == sorted(pathlib.Path(f["path"]).name for f in j["files"]),
              f"{spec.name}: nothing but the files named")
        # The numbers of the summary are the numbers of the STEP: every profile radius stands in it (mm).
        step = next(p for p in out.iterdir() if p.name.endswith("-cavity.step")).read_text()
        numbers = {round(float(x), 6) for x in re.findall(r"-?\d+\.\d*(?:E[-+]?\d+)?", step)}
        for s in j["dimensions"]["profile"]:
            if "radius_mm" in s:
                check(round(s["radius_mm"], 6) in numbers, f"{spec.name}: radius {s['radius_mm']} in the STEP")
        # The text summary says the same volume and keeps its colour to terminals.
        text = run("design", spec, "-o", out)
        check(f"{v['profile']:.4f} cc" in text.stdout, f"{spec.name}: summary holds the volume")
        check("\x1b" not in text.stdout, f"{spec.name}: no colour into a pipe")


def changed(old, new):
    text = (SOURCE / "profiles" / "demo.toml").read_text()
    check(text.count(old) == 1, f"the demo holds {old!r} once")
    path = HERE / "changed.toml"
    path.write_text(text.replace(old, new))
    return path


def mistakes():
    out = HERE / "out"

    def expect(code, words, *arguments, **more):
        r = run(*arguments, **more)
        check(r.returncode == code, f"{arguments}: exit code {r.returncode}, not {code}")
        for w in words:
            check(w in r.stderr, f"{arguments}: {w!r} in: {r.stderr}")
        check(not out.exists() or not any(out.iterdir()), f"{arguments}: nothing written")
        return r

    expect(2, ["chamber:"], "design")
    expect(2, ['no command "desing"', "design"], "desing", "x.toml")
    expect(2, ["--schema"], "design", SOURCE / "profiles/demo.toml", "--schema", "ap999")
    expect(6, ["cannot be opened"], "design", HERE / "no such.toml", "-o", out)
    expect(3, ["changed.toml:", "no unit", "Cure:"], "design", changed('bore = "66.4 mm"', 'bore = "66.4"'), "-o", out)
    r = expect(3, ["changed.toml:"], "design", changed('stroke = "72 mm"', 'strok = "72 mm"'), "-o", out, "--json")
    j = json.loads(r.stdout)
    check(j["status"] == "failed" and j["exit_code"] == 3 and j["problems"][0]["line"] > 0, "JSON of a mistake")
    r = expect(4, ["cannot be met", "Within the limits", "Cure:"], "design", changed('"21.50 cc"', '"45 cc"'), "-o", out, "--json")
    j = json.loads(r.stdout)
    low, high = j["out_of_reach"]["reachable_cc"]
    check(low < 21.5 < high < 45, "JSON of a volume out of reach")
    check(j["out_of_reach"]["stops"], "what stops it is named")
    expect(6, ["lathe file", "cannot be opened"], "design", SOURCE / "profiles/demo.toml", "-o", out, "--lathe", HERE / "no such.toml")
    # Coordinates to 0.01 mm cut deeper than 0.002 mm somewhere: unproven, and written only on demand, saying so.
    coarse = changed('dialect = "rs274" ', 'decimals = 2\ndialect = "rs274" ')
    expect(5, ["lathe program, first clamping:", "Nothing was written"], "design", coarse, "-o", out)
    anyway = HERE / "anyway"
    r = run("design", coarse, "-o", anyway, "--write-anyway")
    check(r.returncode == 5 and "NOT PROVEN" in r.stderr and r.stdout == "", f"written anyway: {r.returncode}: {r.stderr}")
    programs = sorted(anyway.glob("*.ngc"))
    check(len(programs) == 2 and all(p.read_text().splitlines()[2].startswith("(WARNING: NOT PROVEN") for p in programs),
          "an unproven program says so in its first comment")
    expect(5, ["nose"], "design", changed('rim_round = "0.6 mm"', 'rim_round = "0.3 mm"'), "-o", out)
    blocked = HERE / "blocked"
    blocked.write_text("a file where a folder is wanted")
    expect(6, ["cannot be made"], "design", SOURCE / "profiles/demo.toml", "-o", blocked)
    r = run("design", "-", "-o", out, stdin=(SOURCE / "profiles/demo.toml").read_text())
    check(r.returncode == 0, f"standard input: {r.stderr}")
    # A full device: the result could not be said, so it is not a success.
    with open("/dev/full", "w") as full:
        r = subprocess.run([PROGRAM, "design", str(SOURCE / "profiles/demo.toml"), "-o", str(out)], stdout=full,
                           stderr=subprocess.PIPE)
        check(r.returncode == 6, f"a full standard output: {r.returncode}")


def examples():
    """out-examples/ is what the program writes today, byte for byte under SOURCE_DATE_EPOCH."""
    shutil.copytree(SOURCE / "profiles", HERE / "profiles")
    fresh = HERE / "out-examples"
    fresh.mkdir()
    kept = SOURCE / "out-examples"
    names = sorted(p.name for p in kept.iterdir() if p.is_dir())
    check(len(names) == 2, "two examples are kept")
    for name in names:
        r = run("design", f"../profiles/{name}.toml", "-o", name, "--without", "drawing,traveller,glb", cwd=fresh, env={"SOURCE_DATE_EPOCH": "1767225600"})
        check(r.returncode == 0, f"{name}: {r.stderr}")
        (fresh / f"{name}.summary.txt").write_text(r.stdout)
    ours = sorted(str(p.relative_to(fresh)) for p in fresh.rglob("*") if p.is_file())
    theirs = sorted(str(p.relative_to(kept)) for p in kept.rglob("*") if p.is_file())
    check(ours == theirs and len(ours) >= 12, f"the same files: {ours} / {theirs}")
    for name in ours:
        same = (fresh / name).read_bytes() == (kept / name).read_bytes()
        check(same, f"{name} differs from out-examples/ (if on purpose: tools/renew-examples)")


{"specs": specs, "mistakes": mistakes, "examples": examples}[sys.argv[1]]()
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

#!/usr/bin/python3
"""What `chamber design` gives people to look at, for every spec in profiles/: pdftotext of the drawing holds the numbers of the
JSON, ezdxf audits the DXF and its profile gives the volume back, SVG is well-formed, PNG is PNG, glTF is glTF, the
traveller holds hashes that sha256sum finds too, and each kind of output is written or left out as asked.

The program is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
from html import unescape
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import xml.etree.ElementTree as xml

import ezdxf
from ezdxf.path import make_path

PROGRAM = os.environ["CHAMBER_PROGRAM"]
SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
HERE = pathlib.Path.cwd()
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def run(*command):
    return subprocess.run([str(c) for c in command], capture_output=True, text=True)


def chamber(*arguments):
    return run(PROGRAM, *arguments)


def swept_cc(entity):
    """Volume the profile sweeps round x = 0, its arcs as ezdxf flattens them (by way of Bezier curves: to 1e-4)."""
    points = [(v.x, v.y) for v in make_path(entity).flattening(1e-6)]
    return sum(math.pi * (y1 - y0) * (x0 * x0 + x0 * x1 + x1 * x1) / 3
               for (x0, y0), (x1, y1) in zip(points, points[1:])) / 1000


def drawing(out, base, j, name):
    text = run("pdftotext", "-layout", out / f"{base}-drawing.pdf", "-").stdout
    numbers = set(re.findall(r"\d+(?:\.\d+)?", text))
    inch = "Dimensions in inches." in text
    d = j["dimensions"]

    def holds(mm, what):
        shown = [f"{mm / 25.4:.3f}", f"{mm / 25.4:.4f}"] if inch else [f"{mm:.2f}", f"{mm:.3f}", f"{mm:.2f}".rstrip("0").rstrip(".")]
        check(numbers & set(shown), f"{name}: {what}, one of {shown}, is not on the drawing")

    for key in ("insert_height_mm", "roof_height_mm"):
        holds(d[key], key)
    holds(d["insert_height_mm"] - d["plug_seat_height_mm"], "the spotface's depth")
    for s in d["profile"]:
        holds(2 * s["end_rz_mm"][0], "a diameter of the profile")
        holds(abs(s["end_rz_mm"][1]), "a height of the profile")
    check(f"{j['volumes_cc']['profile']:.2f} cc" in text, f"{name}: head volume on the drawing")
    check(f"{j['clearance_cc']:.2f} cc" in text, f"{name}: clearance volume on the drawing")
    check(f"{j['trapped_ratio']:.2f}:1" in text, f"{name}: trapped ratio on the drawing")
    check(j["spec_sha256"][:16] in text, f"{name}: the spec's hash on the drawing")

    document = ezdxf.readfile(out / f"{base}-drawing.dxf")
    audit = document.audit()
    check(not audit.has_errors and not audit.fixes, f"{name}: DXF audit")
    profile = list(document.modelspace().query('*[layer=="PROFILE"]'))
    check(len(profile) == 1, f"{name}: one profile")
    volume = swept_cc(profile[0])
    check(abs(volume / j["volumes_cc"]["profile"] - 1) < 1e-4, f"{name}: the DXF's profile holds {volume} cc")
    for sheet in (1, 2):
        root = xml.parse(out / f"{base}-drawing-{sheet}.svg").getroot()
        check(root.tag == "{http://www.w3.org/2000/svg}svg", f"{name}: SVG {sheet}")
        check((out / f"{base}-drawing-{sheet}.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n", f"{name}: PNG {sheet}")


def traveller(out, base, j, name):
    html = (out / f"{base}-traveller.html").read_text()
    check(len(html.encode()) < 2e6, f"{name}: {len(html.encode())} bytes of HTML")
    for setup in j["turning"]["setups"]:
        said = run("sha256sum", out / setup["program"]).stdout.split()[0]
        check(said == setup["sha256"] and said in html, f"{name}: hash of {setup['program']}")
    said = run("sha256sum", SOURCE / "profiles" / name).stdout.split()[0]
    check(said == j["spec_sha256"] and said in html, f"{name}: hash of the spec")
    check(f"{j['volumes_cc']['profile']:.2f} cc" in html, f"{name}: head volume")
    low, high = (f"{j['volumes_cc']['profile'] + d:.2f}" for d in (-0.05, 0.05))
    check(f"{low} to {high} cc" in html, f"{name}: the burette's limits")
    for caution in j["cautions"]:
        check(caution in unescape(html), f"{name}: caution")
    glb = (out / f"{base}-insert.glb").read_bytes()
    check(glb[:4] == b"glTF" and int.from_bytes(glb[8:12], "little") == len(glb), f"{name}: glTF")


def every_spec():
    for spec in sorted((SOURCE / "profiles").glob("*.toml")):
        out = HERE / spec.stem
        r = chamber("design", spec, "-o", out, "--json")
        check(r.returncode == 0, f"{spec.name}: {r.stderr}")
        if r.returncode:
            continue
        j = json.loads(r.stdout)
        base = next(p.name for p in out.glob("*-insert.step")).removesuffix("-insert.step")
        drawing(out, base, j, spec.name)
        traveller(out, base, j, spec.name)


def choice():
    """Each kind of output alone writes just its own files."""
    demo, base = SOURCE / "profiles" / "demo.toml", "sand-drag-250"
    own = {"step": ["-cavity.step", "-insert.step"], "stl": ["-cavity_mm.stl", "-insert_mm.stl"], "glb": ["-insert.glb"],
           "program": ["-first.ngc", "-second.ngc"],
           "drawing": ["-drawing-1.png", "-drawing-1.svg", "-drawing-2.png", "-drawing-2.svg", "-drawing.dxf", "-drawing.pdf"],
           "traveller": ["-traveller.html"], "json": [".json"]}
    for kind, ends in own.items():
        out = HERE / "only" / kind
        r = chamber("design", demo, "-o", out, "--only", kind, "--json")
        check(r.returncode == 0, f"--only {kind}: {r.stderr}")
        wanted = sorted(base + e for e in ends)
        check(sorted(p.name for p in out.iterdir()) == wanted, f"--only {kind}: {sorted(p.name for p in out.iterdir())}")
        check(sorted(pathlib.Path(f["path"]).name for f in json.loads(r.stdout)["files"]) == wanted, f"--only {kind}: the list")
    out = HERE / "less"
    r = chamber("design", demo, "-o", out, "--without", "drawing,traveller,glb")
    check(r.returncode == 0 and not [p for p in out.iterdir() if "drawing" in p.name or p.suffix in (".html", ".glb")],
          "--without drawing,traveller,glb")
    out = HERE / "nothing"
    for arguments, word in ((["--only", "drawings"], "did you mean \"drawing\""), (["--only", "step", "--without", "step"], "nothing"),
                            (["--paper", "a3"], "--paper")):
        r = chamber("design", demo, "-o", out, *arguments)
        check(r.returncode == 2 and word in r.stderr and not out.exists(), f"{arguments}: {r.returncode} {r.stderr}")
    out = HERE / "style"
    chamber("design", demo, "-o", out, "--only", "drawing", "--paper", "letter", "--projection", "third", "--drawing-units", "both")
    text = run("pdftotext", "-layout", out / f"{base}-drawing.pdf", "-").stdout
    check("Third-angle projection" in text and "Dimensions in mm, [inches]." in text and "Letter" in text, "style of the drawing")


def target():
    page = HERE / "page" / "sites.html"
    r = chamber("target", SOURCE / "profiles" / "sites.toml", "-o", page)
    check(r.returncode == 0 and page.read_text().count("<svg") >= 4, f"target -o: {r.stderr}")
    r = chamber("target", SOURCE / "profiles" / "sites.toml", "-o", HERE / "page.txt")
    check(r.returncode == 6 and ".html" in r.stderr, "target -o page.txt")


every_spec()
choice()
target()
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

#!/usr/bin/python3
"""What `chamber design` gives people to look at, for every spec in profiles/: pdftotext of the drawing holds the numbers of the
JSON, ezdxf audits the DXF and its profile gives the volume back, SVG is well-formed, PNG is PNG, glTF is glTF, the
traveller holds hashes that sha256sum finds too, its PDF the numbers of the JSON on two to four pages and the drawing's two, and each kind of output is written or left out as asked.

The program is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
from html import unescape
import json
import math
import os
import pathlib
import re
import shutil
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
        check(said == setup["sha256"] and f"O{setup['number']:04}, {(out / setup['program']).read_text().count(chr(10))} lines, sha256 {said[:8]}" in html, f"{name}: hash of {setup['program']}")
    said = run("sha256sum", SOURCE / "profiles" / name).stdout.split()[0]
    check(said == j["spec_sha256"] and f"sha256 {said[:8]}" in html, f"{name}: hash of the spec")
    check(f"{j['volumes_cc']['profile']:.2f} cc" in html, f"{name}: head volume")
    low, high = (f"{j['volumes_cc']['profile'] + d:.2f}" for d in (-0.05, 0.05))
    check(f"{low} to {high} cc" in html, f"{name}: the burette's limits")
    for caution in j["cautions"]:
        check(caution in unescape(html), f"{name}: caution")
    glb = (out / f"{base}-insert.glb").read_bytes()
    check(glb[:4] == b"glTF" and int.from_bytes(glb[8:12], "little") == len(glb), f"{name}: glTF")


def words_of(pdf):
    """For each page its width and height and its words with their boxes, points."""
    html = run("pdftotext", "-bbox", pdf, "-").stdout
    for width, height, body in re.findall(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', html, re.S):
        words = re.findall(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', body)
        yield float(width), float(height), [(*map(float, w[:4]), unescape(w[4])) for w in words]


def set_well(pdf, name, pages):
    """On the text's pages every word is large enough, stays off the paper's edge and meets no other."""
    # DejaVu's ascender and descender span 1.164 of the size, and so does the box pdftotext gives a word.
    least, edge = 1.164 * 7.5 - 0.05, 8 * 72 / 25.4
    for number, (width, height, words) in list(enumerate(words_of(pdf), 1))[:pages]:
        check(len(words) > 50, f"{name}: {len(words)} words on page {number}")
        for x0, y0, x1, y1, word in words:
            upright = y1 - y0 >= least or least <= x1 - x0 <= 1.1 * least  # or it stands on its side
            check(upright, f"{name}: page {number}: \"{word}\" is {(y1 - y0) / 1.164:.2f} pt high")
            check(x0 > edge and y0 > edge and x1 < width - edge and y1 < height - edge, f"{name}: page {number}: \"{word}\" at the edge")
        words.sort()
        for i, a in enumerate(words):
            for b in words[i + 1:]:
                if b[0] >= a[2] - 0.3:
                    break
                if min(a[3], b[3]) - max(a[1], b[1]) > 1:
                    check(False, f"{name}: page {number}: \"{a[4]}\" meets \"{b[4]}\"")


def printed(out, base, j, name, paper):
    """The traveller as PDF: poppler counts its pages, finds its fonts inside and reads the JSON's numbers on them."""
    pdf = out / f"{base}-traveller.pdf"
    info = run("pdfinfo", "-isodates", "-f", "1", "-l", "99", pdf).stdout
    sizes = [(float(w), float(h)) for w, h in re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", info)]
    check(4 <= len(sizes) <= 6, f"{name}: {len(sizes)} pages, with the drawing's two")
    short, long = {"a4": (210, 297), "letter": (215.9, 279.4)}[paper]  # ISO 216; ANSI Y14.1, from memory

    def is_paper(size, w, h):
        return abs(size[0] - w * 72 / 25.4) < 0.1 and abs(size[1] - h * 72 / 25.4) < 0.1

    check(all(is_paper(s, short, long) for s in sizes[:-2]), f"{name}: the pages are {sizes}")
    check(all(is_paper(s, short, long) or is_paper(s, long, short) for s in sizes[-2:]), f"{name}: the sheets are {sizes[-2:]}")
    check(f"Title:           {j['job']['name']}, revision {j['job']['revision']}: traveller" in info, f"{name}: title in {info}")
    fonts = run("pdffonts", pdf).stdout.splitlines()[2:]
    check(len(fonts) >= 3 and all(re.search(r" yes (?:yes|no) +(?:yes|no) +\d+ +\d+$", f) for f in fonts), f"{name}: fonts {fonts}")
    check(not run("pdfimages", "-list", pdf).stdout.splitlines()[2:], f"{name}: pictures of dots")
    set_well(pdf, name, len(sizes) - 2)

    pages = run("pdftotext", "-layout", pdf, "-").stdout.split("\f")[:len(sizes)]
    for i, page in enumerate(pages, 1):
        check(f"page {i} of {len(sizes)}" in page, f"{name}: page {i} says its number")
    text = " ".join(" ".join(pages[:-2]).split())
    low, high = (f"{j['volumes_cc']['profile'] + d:.2f}" for d in (-0.05, 0.05))
    for what in (f"{j['volumes_cc']['profile']:.2f} cc", f"{j['clearance_cc']:.2f} cc", f"{j['trapped_ratio']:.2f}:1",
                 f"{j['full_ratio']:.2f}:1", f"{low} to {high} cc", j["spec_sha256"][:8], "Third, cc", "Mean less wanted, cc", "Measured by"):
        check(what in text, f"{name}: \"{what}\" is not on the printed pages")
    # Words of a table's cell may stand on several lines, among those of its neighbours: each must be there.
    there = set(text.split())
    for sentence in j["cautions"] + j["notes"]:
        check(set(sentence.split()) <= there, f"{name}: \"{sentence}\" is not on the printed pages")
    for setup in j["turning"]["setups"]:
        check(setup["sha256"][:8] in text and setup["program"] in text, f"{name}: {setup['program']} and its hash")
        stick_out = setup["clamping"].get("stick_out_mm")
        if stick_out and not setup["clamping"].get("by", "").startswith("mandrel"):
            check(f"{stick_out:.2f} mm" in text or f"{stick_out / 25.4:.3f} in" in text, f"{name}: stick-out {stick_out}")
        for o in setup["operations"]:
            row = [p for p in re.findall(rf"T{o['tool']['number']}\b.*?{o['first_line']}–{o['last_line']}", text)]
            check(row, f"{name}: T{o['tool']['number']}, lines {o['first_line']} to {o['last_line']}")
    height = j["dimensions"]["insert_height_mm"]
    check(f"{height:.2f} mm" in text or f"{height / 25.4:.3f} in" in text, f"{name}: height in the inspection")
    drawn = " ".join(pages[-2:])
    check("to scale when printed at 100 %" in drawn and f"{j['volumes_cc']['profile']:.2f} cc" in drawn, f"{name}: the drawing's sheets")


def same_bytes():
    """Twice the same, with the date that SOURCE_DATE_EPOCH says and no other."""
    made = []
    for k in (1, 2):
        out = HERE / "same" / str(k)
        subprocess.run([PROGRAM, "design", SOURCE / "profiles" / "demo.toml", "-o", out, "--only", "traveller"], check=True,
                       capture_output=True, env={**os.environ, "SOURCE_DATE_EPOCH": "1700000000"})
        made.append(out / "sand-drag-250-traveller.pdf")
    check(made[0].read_bytes() == made[1].read_bytes(), "the PDF differs from one run to the next")
    info = run("pdfinfo", "-isodates", made[0]).stdout
    said = run("date", "-u", "-d", "@1700000000", "+%Y-%m-%dT%H:%M:%SZ").stdout.strip()
    check(re.search(rf"CreationDate: +{said}", info) and "ModDate" not in info, f"the PDF's date: {info}")


def letter():
    out = HERE / "letter"
    r = chamber("design", SOURCE / "profiles" / "inch.toml", "-o", out, "--paper", "letter", "--json")
    printed(out, "dune-250-inch", json.loads(r.stdout), "inch.toml on Letter", "letter")
    # On the terminal, too, an inch lathe is set up in inches (ISO 80000: an inch is 25.4 mm, a foot 12 of them).
    said = chamber("design", SOURCE / "profiles" / "inch.toml", "-o", out, "--only", "program").stdout
    said = said[said.index("Turning ("):]
    first = json.loads(r.stdout)["turning"]["setups"][0]
    c, tool = first["clamping"], first["operations"][0]
    inches = [f"{c[key] / 25.4:.3f} in" for key in ("grip_diameter_mm", "stick_out_mm", "jaws_behind_zero_mm")]
    check("held   hard jaws on diameter {}, stick-out {}, jaws {} behind Z0".format(*inches) in said, "clamped in inches")
    check(f"{tool['speed_m_per_min'] / 0.3048:.0f} ft/min to" in said and f"{tool['feed_mm_per_rev'] / 25.4:.4f} in/rev" in said, "cut in inches")
    check(not re.search(r"(stock|held|zero|nose|diameter|width) [^;\n]* mm", "\n".join(l for l in said.splitlines() if "why:" not in l)), "no mm in it")


def module():
    """The PDF's libraries load only where one is made; where their module is missing, that is said and nothing is written."""
    linked = run("ldd", PROGRAM).stdout
    check("libcairo" in linked and "libpango" not in linked, f"the program links {linked}")
    alone = HERE / "alone"
    alone.mkdir()
    for file in pathlib.Path(PROGRAM).parent.glob("libchamber_solid_kernel.so"):
        shutil.copy(file, alone)
    shutil.copy(PROGRAM, alone)
    demo = SOURCE / "profiles" / "demo.toml"
    r = run(alone / "chamber", "design", demo, "-o", alone / "out")
    check(r.returncode == 6 and "libchamber_papers_pdf.so was not found" in r.stderr and not (alone / "out").exists(),
          f"without the module: {r.returncode} {r.stderr}")
    r = run(alone / "chamber", "design", demo, "-o", alone / "out", "--without", "traveller")
    check(r.returncode == 0 and list((alone / "out").glob("*.step")), f"without the traveller: {r.returncode} {r.stderr}")


def every_insert():
    out = HERE / "set"
    r = chamber("set", SOURCE / "profiles" / "sites.toml", "-o", out, "--only", "traveller,json")
    check(r.returncode == 0, f"set: {r.stderr}")
    pages = sorted(p.name for p in out.rglob("*-traveller.html"))
    check(len(pages) >= 2 and [p.replace(".html", ".pdf") for p in pages] == sorted(p.name for p in out.rglob("*-traveller.pdf")),
          f"set: {pages}")
    check(all(run("pdfinfo", p).returncode == 0 for p in out.rglob("*-traveller.pdf")), "set: pdfinfo")


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
        printed(out, base, j, spec.name, "a4")


def choice():
    """Each kind of output alone writes just its own files."""
    demo, base = SOURCE / "profiles" / "demo.toml", "sand-drag-250"
    own = {"step": ["-cavity.step", "-insert.step"], "stl": ["-cavity_mm.stl", "-insert_mm.stl"], "glb": ["-insert.glb"],
           "program": ["-first.ngc", "-second.ngc"],
           "drawing": ["-drawing-1.png", "-drawing-1.svg", "-drawing-2.png", "-drawing-2.svg", "-drawing.dxf", "-drawing.pdf"],
           "traveller": ["-traveller.html", "-traveller.pdf"], "json": [".json"]}
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
same_bytes()
letter()
module()
every_insert()
choice()
target()
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

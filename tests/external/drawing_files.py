#!/usr/bin/python3
"""Drawings of every spec in profiles/ through other people's eyes: pdftotext, pdfinfo and
pdftoppm (poppler), ezdxf, an XML parser, librsvg.

Argument: the program draw_profiles. The sources are in $CHAMBER_SOURCE.
"""
import decimal
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import xml.etree.ElementTree as xml
from collections import Counter

import ezdxf
from ink import grey, lacking

SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
OUT = pathlib.Path.cwd() / "drawings"
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def run(*command):
    return subprocess.run([str(c) for c in command], capture_output=True, text=True, check=True).stdout


def swept_mm3(pieces):
    """Volume a meridian sweeps, from (x0, y0, x1, y1, bulge), by Simpson's rule over each piece."""
    total = 0.0
    for x0, y0, x1, y1, bulge in pieces:
        if abs(bulge) < 1e-12:
            total += math.pi * (y1 - y0) * (x0 * x0 + x0 * x1 + x1 * x1) / 3
            continue
        centre, start, end, radius = ezdxf.math.bulge_to_arc((x0, y0), (x1, y1), bulge)
        turn = (end - start) % (2 * math.pi)
        n, s = 2000, 0.0
        for i in range(n + 1):
            a = start + turn * i / n
            weight = 1 if i in (0, n) else 4 if i % 2 else 2
            s += weight * math.pi * (centre[0] + radius * math.cos(a)) ** 2 * radius * math.cos(a)
        total += s * turn / n / 3 * (1 if bulge > 0 else -1)
    return total


def pieces_of(entities):
    out = []
    for e in entities:
        if e.dxftype() == "LWPOLYLINE":
            points = e.get_points("xyb")
            out += [(*a[:2], *b[:2], a[2]) for a, b in zip(points, points[1:])]
        elif e.dxftype() == "LINE":
            out.append((e.dxf.start.x, e.dxf.start.y, e.dxf.end.x, e.dxf.end.y, 0))
        elif e.dxftype() == "ARC":
            p, q = e.start_point, e.end_point
            turn = math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360)
            out.append((p.x, p.y, q.x, q.y, math.tan(turn / 4)))
        else:
            check(False, f"a {e.dxftype()} on layer PROFILE")
    return out


def chained(pieces):
    """Lines and arcs strung together from the sealing face to the axis, turned round where need be."""
    left, out = list(pieces), []
    at = next((p[:2] for p in left if abs(p[1]) < 1e-9), None) or next(p[2:4] for p in left if abs(p[3]) < 1e-9)
    at = max((e for p in left for e in (p[:2], p[2:4]) if abs(e[1]) < 1e-9), default=at)
    while left:
        for p in left:
            if math.dist(p[:2], at) < 1e-6:
                out.append(p)
                break
            if math.dist(p[2:4], at) < 1e-6:
                out.append((p[2], p[3], p[0], p[1], -p[4]))
                break
        else:
            check(False, "the profile's lines and arcs hang together")
            return out
        left.remove(p)
        at = out[-1][2:4]
    check(abs(at[0]) < 1e-6, "the profile ends on the axis")
    return out


def dxf(path, expected):
    document = ezdxf.readfile(path)
    audit = document.audit()
    check(not audit.has_errors and not audit.fixes, f"{path.name}: audit {[str(e.message) for e in audit.errors + audit.fixes][:3]}")
    check(document.header["$INSUNITS"] == 4 and document.header["$MEASUREMENT"] == 1, f"{path.name}: millimetres")
    entities = list(document.modelspace().query('*[layer=="PROFILE"]'))
    pieces = pieces_of(entities)
    if "pieces" in path.name:
        check({e.dxftype() for e in entities} <= {"LINE", "ARC"}, f"{path.name}: lines and arcs only")
        check(not document.modelspace().query("LWPOLYLINE"), f"{path.name}: no polylines")
        pieces = chained(pieces)
    else:
        check(len(entities) == 1, f"{path.name}: one profile")
    volume = swept_mm3(pieces)
    check(abs(volume / expected["volume_mm3"] - 1) < 1e-7, f"{path.name}: {volume} of {expected['volume_mm3']} mm3")
    # A straight drafted wall's angle is an arc of that many degrees, as the spec asks for.
    if expected["stem"] in ("flat-roof", "toroidal"):
        draft = float(re.search(r'^draft = "([\d.]+) deg"', (SOURCE / "profiles" / f"{expected['stem']}.toml").read_text(), re.M)[1])
        turns = [(a.dxf.end_angle - a.dxf.start_angle) % 360 for a in document.modelspace().query('ARC[layer=="DIMENSION"]')]
        check(any(abs(t - draft) < 1e-6 for t in turns), f"{path.name}: an arc of {draft} degrees, not {turns}")
    check({"OUTLINE", "HATCHING", "DIMENSION"} <= {e.dxf.layer for e in document.modelspace()}, f"{path.name}: layers")


def overlapping_words(path):
    """Pairs of words on a page whose boxes overlap, by poppler's own reckoning; boxes are as high as the font's em."""
    out = []
    for page in re.findall(r"<page .*?</page>", run("pdftotext", "-bbox", path, "-"), re.S):
        words = [(*map(float, m[:4]), m[4]) for m in
                 re.findall(r'xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>', page)]
        # A font's box stands well over and under its letters: the middle half of it is ink for sure.
        def ink(a, b, c, d, w):
            upright, short = d - b > c - a, len(w) <= 4  # short ones are about as wide as high: both ways
            x = (c - a) / 4 if upright or short else 0
            y = 0 if upright and not short else (d - b) / 4
            return a + x, b + y, c - x, d - y, w
        words = [ink(*w) for w in words]
        out += [(v[4], w[4]) for i, v in enumerate(words) for w in words[i + 1:]
                if v[0] < w[2] - 0.1 and w[0] < v[2] - 0.1 and v[1] < w[3] and w[1] < v[3]]
    return out


def pdf(path, expected):
    info = run("pdfinfo", path)
    check("Pages:           2" in info, f"{path.name}: two pages")
    sizes = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}["a4" if "-a4-" in path.name else "letter"]
    size = sorted(float(x) for x in re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", info).groups())
    check(all(abs(a - b) < 0.2 for a, b in zip(size, sizes)), f"{path.name}: paper {size}")
    text = run("pdftotext", "-layout", path, "-")
    check(f"{expected['head_cc']:.2f} cc" in text, f"{path.name}: head volume")
    check(expected["thread"].replace("x", "×") in text, f"{path.name}: thread")
    if path.stem.endswith("-mm"):
        # The table gives the roof to 0.001 mm, its dimension that figure rounded, or in full where it ends in a 5.
        roof = expected["roof_mm"]
        check(roof in text, f"{path.name}: the roof in the table, {roof}")
        if not roof.endswith("5"):
            roof = str(decimal.Decimal(roof).quantize(decimal.Decimal("0.01"), decimal.ROUND_HALF_UP))
        for key, number in (("roof_mm", roof), ("height_mm", f"{expected['height_mm']:.2f}")):
            number = number.rstrip("0").rstrip(".")
            check(re.search(rf"(?<![\d.]){re.escape(number)}(?![\d])", text), f"{path.name}: {key} {number}")
        check("Dimensions in mm." in text, f"{path.name}: unit")
        check("This line is 50 mm" in text, f"{path.name}: the line to measure")
    check("ISO 2768-m" in text and re.search(r"Ra [\d.]+ µ(m|in)", text) and "⌓" in text and "Fingerprint of the spec" in text and "0123456789abcdef" in text, f"{path.name}: notes and title block")
    check(not re.search(r"\d\.\d{5,}", text), f"{path.name}: no figure is finer than known")
    over = overlapping_words(path)
    check(not over, f"{path.name}: words overlap {over[:4]}")


def svg(path, pdf, page, stem):
    """The SVG, drawn by librsvg, shows what the PDF shows; arcs are arcs, every letter is there."""
    root = xml.parse(path).getroot()
    check(root.tag == SVG + "svg" and root.get("width") in ("297mm", "210mm"), f"{stem}: SVG in mm, {root.get('width')}")
    by_rsvg = path.with_suffix(".rsvg.pdf")
    run("rsvg-convert", "-f", "pdf", "-o", by_rsvg, path)
    a, b = grey(pdf, page), grey(by_rsvg, 1)
    check(a.shape == b.shape, f"{path.name}: size {b.shape}, the PDF's {a.shape}")
    if a.shape == b.shape:
        check((a < 100).sum() > 20000, f"{path.name}: there is something to compare")
        check(lacking(a, b) == 0 and lacking(b, a) == 0, f"{path.name}: {lacking(a, b)} pixels lack in it, {lacking(b, a)} in the PDF")
    paths = root.iter(SVG + "path")
    check(any("A" in p.get("d") for p in paths), f"{path.name}: true arcs")
    ids = {e.get("id") for e in root.iter() if e.get("id")}
    uses = [u.get("{http://www.w3.org/1999/xlink}href")[1:] for u in root.iter(SVG + "use")]
    check(len(uses) > 300 and set(uses) <= ids, f"{path.name}: letters without an outline {set(uses) - ids}")
    words = "".join(g.get("aria-label") for g in root.iter(SVG + "g") if g.get("aria-label"))
    seen = run("pdftotext", "-f", str(page), "-l", str(page), pdf, "-")
    check(Counter("".join(words.split())) == Counter("".join(seen.split())), f"{path.name}: the PDF's letters, each as often")


SVG = "{http://www.w3.org/2000/svg}"
specs = sorted((SOURCE / "profiles").glob("*.toml"))
check(len(specs) >= 6, "at least six specs")
wanted = [json.loads(line) for line in run(sys.argv[1], OUT, *specs).splitlines()]
check(len(wanted) == len(specs), "a line for each spec")
for expected in wanted:
    for paper in ("a4", "letter"):
        for unit in ("mm", "inch", "both"):
            pdf(OUT / f"{expected['stem']}-{paper}-{unit}.pdf", expected)
    for name in ("", "-pieces"):
        dxf(OUT / f"{expected['stem']}-a4-mm{name}.dxf", expected)
    for sheet in (1, 2):
        base = f"{expected['stem']}-a4-mm"
        svg(OUT / f"{base}-{sheet}.svg", OUT / f"{base}.pdf", sheet, base)
        png = (OUT / f"{expected['stem']}-a4-mm-{sheet}.png").read_bytes()
        check(png[:8] == b"\x89PNG\r\n\x1a\n", f"{expected['stem']}: PNG")
sys.exit(1 if failures else 0)

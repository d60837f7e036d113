"""Profiles drawn with ezdxf in every version it writes, in many ways of drawing them, read by our reader: volumes by hand.

Bodies: Machinery's Handbook, 31st ed., pp. 90-93 (spherical segment of height 50 on chord 125: pi h (c^2/8 + h^2/6), which
the handbook rounds to 372,247; frustum of a cone of diameters 16 and 9, height 14: 1762.957), and a chamber of
cylinders and a frustum added up below.
"""
import json
import math
import pathlib
import subprocess
import sys

import ezdxf

VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]

# Rim to axis: ("line", end) or ("arc", end, centre, ccw), x the radius, y the height, millimetres.
R = (62.5**2 + 50**2) / 100
SEGMENT = ((62.5, 0), [("arc", (0, 50), (0, 50 - R), True)])
SEGMENT_MM3 = math.pi * 50 * (125**2 / 8 + 50**2 / 6)
assert abs(SEGMENT_MM3 - 372247) < 1.5

CONE = ((8, 0), [("line", (4.5, 14)), ("line", (0, 14))])
CONE_MM3 = 1762.957

# Recess 0.8 deep on radius 33, flat band to 24, frustum 24 -> 12 over 10, quarter round of radius 4 into a pocket of radius
# 8 (from (12, 10.8) level to r = 12 - ... ): the round is convex metal, centred at (12, 14.8); pocket 2 deep beyond it.
CHAMBER = ((33, 0), [("line", (33, 0.8)), ("line", (24, 0.8)), ("line", (12, 10.8)),
                     ("arc", (8, 14.8), (12, 14.8), False), ("line", (8, 16.8)), ("line", (0, 16.8))])


def chamber_volume():
    cylinder = math.pi * 33**2 * 0.8
    frustum = math.pi * 10 / 3 * (24**2 + 24 * 12 + 12**2)
    # Ring between cylinder of radius 8 and the round: r = 12 - 4 sqrt(1 - t^2), z = 4 t off the centre: integral of r^2.
    # over 4 mm: 4 * (144 - 96 * pi/4 + 16 * 2/3)
    waist = math.pi * 4 * (144 - 96 * math.pi / 4 + 16 * 2 / 3)
    pocket = math.pi * 64 * 2
    return cylinder + frustum + waist + pocket


CHAMBER_MM3 = chamber_volume()


def steps(body):
    start = body[0]
    for step in body[1]:
        yield start, step
        start = step[1]


def bulge(start, step):
    if step[0] == "line":
        return 0.0
    _, end, c, ccw = step
    a = math.atan2(start[1] - c[1], start[0] - c[0])
    b = math.atan2(end[1] - c[1], end[0] - c[0])
    turn = (b - a) % (2 * math.pi) if ccw else -((a - b) % (2 * math.pi))
    return math.tan(turn / 4)


class Place:
    """Where and how large the body is drawn: scaled, mirrored in x, turned in quarters, moved."""

    def __init__(self, scale=1.0, mirror=False, quarter=0, move=(0, 0)):
        self.scale, self.mirror, self.quarter, self.move = scale, mirror, quarter, move

    def __call__(self, p):
        x, y = p
        if self.mirror:
            x = -x
        for _ in range(self.quarter):
            x, y = -y, x
        return (x * self.scale + self.move[0], y * self.scale + self.move[1])


def draw_entities(space, body, place, layer="0", reverse=False, arcs_from_below=False):
    for start, step in steps(body):
        if step[0] == "line":
            a, b = place(start), place(step[1])
            if reverse:
                a, b = b, a
            space.add_line(a, b, dxfattribs={"layer": layer})
        else:
            _, end, c, ccw = step
            a, b, m = place(start), place(end), place(c)
            below = {}
            if arcs_from_below:  # the same arc told in the mirrored coordinates of a plane seen from behind
                a, b, m = [(-x, y) for x, y in (a, b, m)]
                below = {"extrusion": (0, 0, -1)}
            if ccw == (place.mirror != arcs_from_below):
                a, b = b, a
            ang = lambda p: math.degrees(math.atan2(p[1] - m[1], p[0] - m[0]))
            space.add_arc(m, math.dist(a, m), ang(a), ang(b), dxfattribs={"layer": layer, **below})


def polyline_points(body, place, reverse=False, close=()):
    """(x, y, bulge) of each vertex; close: more corners, straight."""
    verts = []
    for start, step in steps(body):
        verts.append([*place(start), bulge(start, step) * (-1 if place.mirror else 1)])
    verts.append([*place(body[1][-1][1]), 0.0])
    verts += [[*place(p), 0.0] for p in close]
    if reverse:
        points = [v[:2] for v in reversed(verts)]
        bulges = [-v[2] for v in reversed(verts[:-1])] + [0.0]
        verts = [[*p, b] for p, b in zip(points, bulges)]
    return verts


def draw_polyline(doc, body, place, closed=False, **kw):
    attribs = {"layer": kw.pop("layer", "0")}
    if "extrusion" in kw:
        attribs["extrusion"] = kw.pop("extrusion")
    verts = polyline_points(body, place, **kw)
    space = doc.modelspace()
    if doc.dxfversion == "AC1009":
        space.add_polyline2d(verts, format="xyb", close=closed, dxfattribs=attribs)
    else:
        space.add_lwpolyline(verts, format="xyb", close=closed, dxfattribs=attribs)


CASES = []


def case(name, volume, draw, versions=VERSIONS, units=4, tolerance=1e-9, said=(), cautioned=None, refused=None, **ask):
    for v in versions:
        doc = ezdxf.new(v, setup=True)
        doc.header["$INSUNITS"] = units
        draw(doc)
        path = f"{name}-{v}.dxf"
        doc.saveas(path)
        CASES.append({"ask": {"file": path, **ask}, "volume": volume, "tolerance": tolerance, "said": said,
                      "cautioned": cautioned, "refused": refused})


def half(outline):
    """The other half of a full section, walked on from the axis."""
    (x, y), segments = outline
    points = [outline[0]] + [s[1] for s in segments]
    out = []
    for i in range(len(segments) - 1, -1, -1):
        s, end = segments[i], points[i]
        end = (-end[0], end[1])
        if s[0] == "line":
            out.append(("line", end))
        else:
            out.append(("arc", end, (-s[2][0], s[2][1]), s[3]))
    return (outline[0], segments + out)


def build():
    modern = VERSIONS[1:]
    for name, body, v in (("segment", SEGMENT, SEGMENT_MM3), ("cone", CONE, None), ("chamber", CHAMBER, CHAMBER_MM3)):
        tol, axis = 1e-9, {}
        if v is None:  # deeper than wide: no chamber, so the axis must be told
            v, tol, axis = CONE_MM3, 3e-7, {"axis": "vertical"}
        case(f"{name}-entities", v, lambda d: draw_entities(d.modelspace(), body, Place()), tolerance=tol, **axis)
        case(f"{name}-entities-turned", v, lambda d: draw_entities(d.modelspace(), body, Place(), reverse=True), tolerance=tol, **axis)
        case(f"{name}-bulges", v, lambda d: draw_polyline(d, body, Place()), tolerance=tol, **axis)
        case(f"{name}-bulges-reversed", v, lambda d: draw_polyline(d, body, Place(), reverse=True), tolerance=tol,
             said=("axis to the rim",), **axis)
        case(f"{name}-inches", v, lambda d: draw_polyline(d, body, Place(1 / 25.4)), modern, units=1, tolerance=tol,
             said=("inches",), **axis)
        case(f"{name}-inches-asked", v, lambda d: draw_entities(d.modelspace(), body, Place(1 / 25.4)), units=0,
             tolerance=tol, unit="in", **axis)
        case(f"{name}-inches-unsaid", v, lambda d: draw_entities(d.modelspace(), body, Place(1 / 25.4)), units=0,
             refused="--unit in", bore_radius_mm=body[0][0], **axis)
        case(f"{name}-negative-side", v, lambda d: draw_polyline(d, body, Place(mirror=True)), tolerance=tol,
             said=("negative side",), **axis)
        case(f"{name}-upside-down", v, lambda d: draw_polyline(d, body, Place(quarter=2)), tolerance=tol,
             said=("turned over",), **axis)
        for quarter in (1, 3):
            case(f"{name}-lying-{quarter}", v, lambda d: draw_entities(d.modelspace(), body, Place(quarter=quarter)),
                 tolerance=tol, axis="horizontal")
        case(f"{name}-full-section", v, lambda d: draw_polyline(d, half(body), Place()), tolerance=tol,
             said=("full section",), **axis)
        case(f"{name}-full-section-moved", v, lambda d: draw_entities(d.modelspace(), half(body), Place(move=(140, 71))),
             tolerance=max(tol, 1e-8), said=("full section", "x = 140.000"), **axis)
        case(f"{name}-closed-outline", v, lambda d: draw_polyline(d, body, Place(), closed=True, close=[(0, 0)]),
             tolerance=tol, said=("closed outline",), **axis)

    # The wider way round is the chamber, when nothing else tells.
    case("lying-guessed", CHAMBER_MM3, lambda d: draw_entities(d.modelspace(), CHAMBER, Place(quarter=1)))

    def centre_line(d):
        draw_entities(d.modelspace(), CHAMBER, Place(move=(200, 30)), layer="PROFILE")
        d.modelspace().add_line((200, 0), (200, 90), dxfattribs={"layer": "0", "linetype": "CENTER"})
        d.modelspace().add_circle((20, 20), 5, dxfattribs={"layer": "HOLES"})
        d.modelspace().add_text("made up", dxfattribs={"layer": "NOTES"})
    case("centre-line", CHAMBER_MM3, centre_line, said=("x = 200.000",), tolerance=1e-8)

    def two_layers(d):
        draw_entities(d.modelspace(), CHAMBER, Place(), layer="NEW")
        draw_entities(d.modelspace(), SEGMENT, Place(0.5), layer="OLD")
    case("two-layers", None, two_layers, refused="--layer")
    case("two-layers-said", CHAMBER_MM3, two_layers, layer="NEW")
    case("two-layers-other", SEGMENT_MM3 / 8, two_layers, layer="OLD")
    case("no-such-layer", None, two_layers, layer="NOWHERE", refused="NEW, OLD")

    def hidden(d):
        two_layers(d)
        d.layers.new("OLD").off() if "OLD" not in d.layers else d.layers.get("OLD").off()
    case("hidden-layer", CHAMBER_MM3, hidden, said=("off or frozen",))

    def gaps(d):
        x, segments = CHAMBER
        moved = [("line", (33, 0.8)), ("line", (24, 0.8))]
        draw_entities(d.modelspace(), ((33, 0), moved), Place())
        draw_entities(d.modelspace(), ((24.004, 0.803), segments[2:]), Place())
    case("gap", CHAMBER_MM3, gaps, said=("gap of up to 0.0050 mm",), tolerance=5e-5)

    def wide_gap(d):
        x, segments = CHAMBER
        draw_entities(d.modelspace(), ((33, 0), segments[:2]), Place())
        draw_entities(d.modelspace(), ((24.5, 0.8), segments[2:]), Place())
    case("wide-gap", None, wide_gap, refused="gap of 0.500")

    def doubled(d):
        draw_entities(d.modelspace(), CHAMBER, Place())
        draw_entities(d.modelspace(), CHAMBER, Place(), reverse=True)
    case("doubled", CHAMBER_MM3, doubled, said=("drawn twice",))

    def spline(d):
        d.modelspace().add_spline([(33, 0, 0), (20, 8, 0), (0, 12, 0)])
    case("spline", None, spline, modern, refused="polylines within")
    case("ellipse", None, lambda d: d.modelspace().add_ellipse((0, 0), (33, 0), 0.5, 0, math.pi / 2), modern,
         refused="polylines within")
    case("circle", None, lambda d: d.modelspace().add_circle((0, 0), 33), refused="trim")

    def below(d):
        draw_polyline(d, CHAMBER, Place(mirror=True), extrusion=(0, 0, -1))
    case("from-below", CHAMBER_MM3, below)

    # Lines are told in the world's coordinates, arcs in their own plane's.
    case("arcs-from-below", CHAMBER_MM3,
         lambda d: draw_entities(d.modelspace(), CHAMBER, Place(), arcs_from_below=True))

    def mirrored_block(d):
        b = d.blocks.new("HALF")
        draw_entities(b, CHAMBER, Place(move=(7, 3)))
        d.modelspace().add_blockref("HALF", (7, -3), dxfattribs={"xscale": -1})
        draw_entities(d.modelspace(), CHAMBER, Place())
    case("mirrored-block", CHAMBER_MM3, mirrored_block, said=("full section",), tolerance=1e-8)

    def block(d):
        b = d.blocks.new("HEAD", base_point=(5, 5))
        draw_entities(b, CHAMBER, Place(move=(5, 5)))
        d.modelspace().add_blockref("HEAD", (0, 0), dxfattribs={"rotation": 180})
    case("block", CHAMBER_MM3, block, said=("turned over",), tolerance=1e-8)

    def distorted(d):
        b = d.blocks.new("HEAD")
        draw_entities(b, CHAMBER, Place())
        d.modelspace().add_blockref("HEAD", (0, 0), dxfattribs={"xscale": 2})
    case("block-distorted", None, distorted, refused="explode")

    # The insert's whole section: face out to radius 46, top at 35, plug hole of radius 6.35, seat of radius 13 at 32.
    def insert(d):
        body = ((33, 0), CHAMBER[1][:-1] + [("line", (6.35, 16.8))])
        draw_polyline(d, body, Place(), closed=True, close=[(6.35, 32), (13, 32), (13, 35), (46, 35), (46, 0)])
    case("insert", CHAMBER_MM3, insert, said=("plug hole",))

    def hole(d):
        body = ((33, 0), CHAMBER[1][:-1] + [("line", (6.35, 16.8)), ("line", (6.35, 30))])
        draw_entities(d.modelspace(), body, Place())
    case("plug-hole", CHAMBER_MM3, hole, said=("capped at the pocket roof",))
    case("plug-hole-capped-higher", CHAMBER_MM3 + math.pi * 6.35**2 * 3, hole, roof_mm=19.8, said=("as told",))

    def crossing(d):
        draw_entities(d.modelspace(), ((33, 0), [("line", (10, 20)), ("line", (30, 20)), ("line", (0, 5))]), Place())
    case("crossing", None, crossing, refused="mend it")

    case("open", None, lambda d: draw_entities(d.modelspace(), (CHAMBER[0], CHAMBER[1][:2]), Place()), refused="does not reach the axis")
    case("empty", None, lambda d: None, refused="right file")


def volume_of(doc):
    """Pi times the integral of r^2 dz over the drawn lines and arcs, arcs by Simpson's rule in small steps; mm3."""
    scale = {1: 25.4, 4: 1.0}[doc.header["$INSUNITS"]]
    pieces = []
    for e in doc.modelspace():
        pieces += list(e.virtual_entities()) if e.dxftype() == "POLYLINE" else [e]
    total = 0.0
    for e in pieces:
        if e.dxftype() == "LINE":
            a, b = e.dxf.start, e.dxf.end
            total += abs(b.y - a.y) * (a.x**2 + a.x * b.x + b.x**2) / 3
        else:
            c, r = e.dxf.center, e.dxf.radius
            a, b = math.radians(e.dxf.start_angle), math.radians(e.dxf.end_angle)
            b += 2 * math.pi if b < a else 0
            f = lambda t: (c.x + r * math.cos(t)) ** 2 * r * math.cos(t)
            n = 200
            h = (b - a) / n
            total += abs(h / 3 * sum(f(a + i * h) * (1 if i in (0, n) else 4 if i % 2 else 2) for i in range(n + 1)))
    return math.pi * total * scale**3


def own_files():
    """What our writer draws, read, audited and measured by ezdxf. Every piece of the bodies rises, so its sign is plain."""
    subprocess.run([sys.argv[1], "--write", "."], check=True)
    files = sorted(pathlib.Path(".").glob("own-*.dxf"))
    assert len(files) == 8
    failed = 0
    for path in files:
        doc = ezdxf.readfile(path)
        wanted = SEGMENT_MM3 if "segment" in path.name else CHAMBER_MM3
        audit = doc.audit()
        got = volume_of(doc)
        ok = not audit.has_errors and abs(got / wanted - 1) < 1e-8 and doc.dxfversion == "AC1009"
        if not ok:
            failed += 1
            print("FAIL", path, got, wanted, [x.message for x in audit.errors])
    return failed


def main():
    build()
    pathlib.Path("requests.json").write_text(json.dumps([c["ask"] for c in CASES]))
    done = subprocess.run([sys.argv[1], "requests.json"], check=True, capture_output=True, text=True)
    answers = json.loads(done.stdout)
    assert len(answers) == len(CASES) > 300
    failed = own_files()
    for c, a in zip(CASES, answers):
        if c["refused"] is not None:
            ok = not a["ok"] and c["refused"] in a["message"] + a["cure"]
        else:
            ok = a["ok"] and abs(a["volume_mm3"] / c["volume"] - 1) <= c["tolerance"]
            text = " ".join(a["taken"]) if a["ok"] else ""
            ok = ok and all(s in text for s in c["said"])
        if not ok:
            failed += 1
            print("FAIL", c, a)
    print(f"{len(CASES)} drawings, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

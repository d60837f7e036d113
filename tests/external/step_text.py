"""step_text.py WRITE_SAMPLES: the STEP files read as text (ISO 10303-21), by no CAD kernel at all: header, unit, product,
validation properties; every edge used twice, once each way; and volume, area and centroid computed from the surfaces and seams in
the file, for comparison with the validation properties and with the closed form.

Source of the properties' form: the CAx-IF recommended practices for geometric and assembly validation properties (from memory):
PROPERTY_DEFINITION 'geometric validation property' -> REPRESENTATION with 'volume measure', 'surface area measure',
'centre point'."""
import math
import re
import sys
from collections import Counter

from solid_samples import check, finish, near, samples


class Step:
    """Entities by number: a list of (keyword, arguments); a complex instance has several."""

    def __init__(self, path):
        with open(path, encoding="ascii") as file:
            self.text = file.read()
        self.header, data = self.text.split("DATA;", 1)
        self.entities = {}
        for number, body in re.findall(r"#(\d+)\s*=\s*((?:[^;']|'(?:[^']|'')*')*);", data):
            body = body.strip()
            body = body[1:-1].strip() if body.startswith("(") else body
            self.entities[int(number)] = self.records(body)

    @staticmethod
    def records(body):
        out, at = [], 0
        while found := re.compile(r"\s*([A-Z_0-9]+)\s*").match(body, at):
            values, at = Step.values(body, found.end())
            out.append((found.group(1), values))
        return out

    @staticmethod
    def values(text, at):
        """The bracketed list that starts at `at`, nested, and where it ends."""
        out, at = [], at + 1
        token = re.compile(r"\s*(?:('(?:[^']|'')*')|#(\d+)|(\.[A-Z_0-9]+\.)|([-+]?\d[\d.]*(?:E[-+]?\d+)?)|([A-Z_]+)|([(),$*]))")
        while True:
            m = token.match(text, at)
            string, ref, enum, number, typed, sign = m.groups()
            at = m.end()
            if string is not None:
                out.append(string[1:-1].replace("''", "'"))
            elif ref:
                out.append(("#", int(ref)))
            elif number:
                out.append(float(number))
            elif enum:
                out.append(enum)
            elif typed:
                inner, at = Step.values(text, text.index("(", at))
                out.append((typed, inner))
            elif sign == "(":
                inner, at = Step.values(text, at - 1)
                out.append(inner)
            elif sign == ")":
                return out, at
            elif sign in "$*":
                out.append(None)

    def get(self, ref, keyword=None):
        """Arguments of the entity a reference points at (of its record `keyword`)."""
        for word, values in self.entities[ref[1]]:
            if keyword is None or word == keyword:
                return values
        raise KeyError(f"#{ref[1]} is no {keyword}")

    def word(self, ref):
        return self.entities[ref[1]][0][0]

    def all(self, keyword):
        return [v for e in self.entities.values() for word, v in e if word == keyword]

    def point(self, ref):
        return self.get(ref, "CARTESIAN_POINT")[1]

    def axes(self, ref):
        _, origin, axis, x = self.get(ref, "AXIS2_PLACEMENT_3D")
        return self.point(origin), self.get(axis, "DIRECTION")[1], self.get(x, "DIRECTION")[1]


def rz(p):
    return math.hypot(p[0], p[1]), p[2]


def meridian(step, face):
    """The curve that sweeps the face, as (kind, start, end, centre, radius) in (r, z): its seam, or across a plane."""
    loops = [step.get(step.get(b)[1], "EDGE_LOOP")[1] for b in face[1]]
    edges = Counter(step.get(oriented, "ORIENTED_EDGE")[3] for loop in loops for oriented in loop)
    if step.word(face[2]) == "PLANE":
        radii = []
        for edge in edges:
            centre, _, _ = step.axes(step.get(step.get(edge, "EDGE_CURVE")[3], "CIRCLE")[1])
            radii.append(step.get(step.get(edge, "EDGE_CURVE")[3], "CIRCLE")[2])
            z = centre[2]
        radii = sorted(radii + [0.0])[-2:]
        return "line", (radii[0], z), (radii[1], z), None, None
    seams = [e for e, uses in edges.items() if uses == 2]
    assert len(seams) == 1, "a curved face has one seam"
    _, start, end, curve, same = step.get(seams[0], "EDGE_CURVE")
    a, b = (rz(step.point(step.get(v, "VERTEX_POINT")[1])) for v in (start, end))
    if step.word(curve) == "LINE":
        return "line", a, b, None, None
    _, placement, radius = step.get(curve, "CIRCLE")
    centre, axis, _ = step.axes(placement)
    # About -y the kernel's circle runs counter-clockwise in (r, z) when the seam lies at x > 0.
    side = math.copysign(1, step.point(step.get(start, "VERTEX_POINT")[1])[0] or 1)
    turn = -round(axis[1]) * side * (1 if same == ".T." else -1)
    assert turn in (1, -1), "the seam's plane holds the axis"
    return ("ccw" if turn > 0 else "cw"), a, b, (centre[0] * side, centre[2]), radius


def integrals(curve):
    """Integral of pi r^2 dz, of pi r^2 z dz and the area swept, by Gauss-Legendre over the curve (12 points, 24 panels)."""
    import numpy
    x, w = numpy.polynomial.legendre.leggauss(12)
    panels = 24
    t = ((x[None, :] + 1) / 2 + numpy.arange(panels)[:, None]) / panels
    w = numpy.tile(w / 2 / panels, (panels, 1))
    kind, a, b, centre, radius = curve
    if kind == "line":
        r, z = a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t
        dz, ds = (b[1] - a[1]) + 0 * t, math.dist(a, b)
    else:
        turn = 1 if kind == "ccw" else -1
        first = math.atan2(a[1] - centre[1], a[0] - centre[0])
        total = turn * (turn * (math.atan2(b[1] - centre[1], b[0] - centre[0]) - first) % (2 * math.pi))
        phi = first + total * t
        r, z = centre[0] + radius * numpy.cos(phi), centre[1] + radius * numpy.sin(phi)
        dz, ds = radius * numpy.cos(phi) * total, radius * abs(total)
    return math.pi * numpy.array([(r * r * dz * w).sum(), (r * r * z * dz * w).sum(), (2 * r * ds * w).sum()])


def swept(curves):
    """Walks the curves end to end (from axis to axis, or round) and integrates: volume, centroid, area."""
    left = list(curves)
    start = next((c for c in left if min(c[1][0], c[2][0]) < 1e-9), left[0])
    left.remove(start)
    total = integrals(start)
    at = start[2]
    if start[2][0] < 1e-9:  # begin on the axis
        total[:2] *= -1
        at = start[1]
    while left:
        step = next((c for c in left if min(math.dist(c[1], at), math.dist(c[2], at)) < 1e-7), None)
        assert step, f"the outline breaks off at {at}"
        left.remove(step)
        part = integrals(step)
        forward = math.dist(step[1], at) < 1e-7
        total += part * ([1, 1, 1] if forward else [-1, -1, 1])
        at = step[2] if forward else step[1]
    return abs(total[0]), total[1] / total[0], total[2]


def properties(step):
    """The validation properties: {'volume': (value, unit exponent), ...} and the centre point."""
    out = {}
    for definition in step.all("PROPERTY_DEFINITION_REPRESENTATION"):
        name, text = step.get(definition[0])[:2]
        if name != "geometric validation property":
            continue
        item = step.get(definition[1])[1][0]
        if step.word(item) == "CARTESIAN_POINT":
            out["centroid"] = step.get(item)[1]
            check(step.get(item)[0] == "centre point", f"the centroid is called {step.get(item)[0]}")
            continue
        name, (kind, value), unit = step.get(item)
        element = step.get(step.get(unit, "DERIVED_UNIT")[0][0], "DERIVED_UNIT_ELEMENT")
        check(step.get(element[0], "SI_UNIT") == [".MILLI.", ".METRE."], f"{name}: not in millimetres")
        out[name] = (kind, value[0], element[1])
    return out


def check_header(step, part):
    path = part["step"]
    check(re.search(r"FILE_DESCRIPTION\(\('sample'\),'2;1'\)", step.header), f"{path}: FILE_DESCRIPTION")
    check(re.search(r"FILE_SCHEMA\(\('AUTOMOTIVE_DESIGN \{ 1 0 10303 214 1 1 1 1 \}'\)\)", step.header), f"{path}: FILE_SCHEMA")
    named = re.sub(r"\s", "", step.header)
    check(re.search(r"FILE_NAME\('.+\.step','\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d',\('nobody'\),\('none'\),'.+','chambertests',''\)", named),
          f"{path}: FILE_NAME")
    check([p[:2] for p in step.all("PRODUCT")] == [[part["name"]] * 2], f"{path}: PRODUCT {step.all('PRODUCT')}")
    check(all(len(line) <= 80 for line in step.text.splitlines()), f"{path}: a line is longer than 80 characters")
    inch = step.all("CONVERSION_BASED_UNIT")
    if part["unit"] == "inch":
        check(len(inch) == 1 and inch[0][0] == "INCH", f"{path}: unit {inch}")
        # ISO 10303-21: a value of a select type carries its type.
        check(step.get(inch[0][1])[0] == ("LENGTH_MEASURE", [25.4]), f"{path}: an inch is {step.get(inch[0][1])[0]} mm")
    else:
        check(not inch, f"{path}: unit {inch}")


def check_edges(step, path):
    uses = Counter()
    for _, _, _, edge, sense in step.all("ORIENTED_EDGE"):
        uses[edge, sense] += 1
    edges = {edge for edge, _ in uses}
    check(all(uses[e, ".T."] == 1 and uses[e, ".F."] == 1 for e in edges), f"{path}: an edge is not used once each way")
    check(len(step.all("CLOSED_SHELL")) == 1 and len(step.all("MANIFOLD_SOLID_BREP")) == 1, f"{path}: not one closed shell")


def check_part(part):
    step, path = Step(part["step"]), part["step"]
    scale = 25.4 if part["unit"] == "inch" else 1.0
    check_header(step, part)
    check_edges(step, path)
    faces = step.all("ADVANCED_FACE")
    check(sorted(f[0] for f in faces) == sorted(part["face_names"]), f"{path}: face names {sorted(f[0] for f in faces)}")
    volume, centroid, area = swept([meridian(step, f) for f in faces])
    near(volume * scale**3, part["volume_mm3"], 1e-9, f"{path}: volume out of the text")
    near(area * scale**2, part["area_mm2"], 1e-9, f"{path}: area out of the text")
    near(centroid * scale, part["centroid_z_mm"], 1e-9, f"{path}: centroid out of the text")
    said = properties(step)
    check(set(said) == {"volume measure", "surface area measure", "centroid"}, f"{path}: properties {said}")
    kind, value, exponent = said["volume measure"]
    check((kind, exponent) == ("VOLUME_MEASURE", 3.0), f"{path}: {said['volume measure']}")
    near(value, part["volume_mm3"], 1e-11, f"{path}: volume property")
    kind, value, exponent = said["surface area measure"]
    check((kind, exponent) == ("AREA_MEASURE", 2.0), f"{path}: {said['surface area measure']}")
    near(value, part["area_mm2"], 1e-11, f"{path}: area property")
    x, y, z = said["centroid"]
    check(abs(x) < 1e-9 and abs(y) < 1e-9, f"{path}: centroid off the axis: {x}, {y}")
    near(z * scale, part["centroid_z_mm"], 1e-9, f"{path}: centroid property")


parts = samples(sys.argv[1])
for sample in parts:
    check_part(sample)
finish(len(parts))

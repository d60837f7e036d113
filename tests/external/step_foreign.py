"""step_foreign.py MEASURE_FILES: solids of hand-known volume drawn and exported by FreeCAD scripts, upright, moved, rotated and in
inches, offset, inclined, as splines; and damaged copies of them. The measuring must find each volume, and outlive each damage.
FreeCAD has our kernel: what is checked is the way from a file to the chamber; the volumes are by hand."""
import json
import math
import os
import random
import subprocess
import sys

from solid_samples import check, finish, near

DRAW = """
import math
import sys
sys.path.append("/usr/lib/freecad-python3/lib")
import FreeCAD
# Read once, when Part comes in.
FreeCAD.ParamGet("User parameter:BaseApp/Preferences/Mod/Part/STEP").SetInt("Unit", 2 if len(sys.argv) > 1 else 0)
import Part
V = FreeCAD.Vector
INCH = len(sys.argv) > 1

def save(shape, name):
    assert shape.isValid(), name
    moved = shape.copy()
    moved.rotate(V(0, 0, 0), V(1, 2, 3), 77)
    moved.translate(V(120, -330, 70))
    if INCH:
        return moved.exportStep(name + "-inch.step")
    shape.exportStep(name + ".step")
    moved.exportStep(name + "-moved.step")
    over = shape.copy()
    over.rotate(V(0, 0, 0), V(0, 1, 0), 180)
    over.exportStep(name + "-over.step")

cylinder = Part.makeCylinder(30, 12)
frustum = Part.makeCone(30, 20, 12)
segment = Part.makeSphere(64.0625, V(0, 0, 50 - 64.0625)).common(Part.makeCylinder(100, 60))
insert = Part.makeCylinder(80, 70).cut(segment).cut(Part.makeCylinder(6.25, 80))
save(cylinder, "cylinder")
save(frustum, "frustum")
save(segment, "segment")
save(insert, "insert")
pocket = insert.cut(Part.makeCylinder(9, 55))
save(pocket, "pocket")
spigot = insert.fuse(Part.makeCylinder(70, 5, V(0, 0, -5)).cut(Part.makeCylinder(62.5, 5, V(0, 0, -5))))
save(spigot.removeSplitter(), "spigot")
bolts = pocket
for i in range(6):
    a = math.radians(60 * i)
    bolts = bolts.cut(Part.makeCylinder(3.2, 80, V(72 * math.cos(a), 72 * math.sin(a), 0)))
save(bolts, "bolts")
blank = Part.makeCylinder(47, 34).cut(Part.makeCylinder(33, 1))
save(blank.cut(Part.makeCylinder(20, 9, V(3, 0, 0))).cut(Part.makeCylinder(6.25, 40)), "offset")
a = math.radians(15)
tilted = V(math.sin(a), 0, math.cos(a))
round_bowl = Part.makeSphere(26, V(3, 0, -14))
save(blank.cut(round_bowl).cut(Part.makeCylinder(6.25, 60, V(3, 0, -14), tilted)), "inclined")
flat = blank.cut(Part.makeCylinder(20, 12))
save(flat.cut(Part.makeCylinder(6.25, 60, V(4, 0, 0), tilted)), "slanted")
save(insert.toNurbs(), "splines")
save(Part.makeCylinder(40, 30).cut(Part.makeCone(25, 10, 15)), "blind")
twins = blank.cut(Part.makeCylinder(20, 9))
for x in (-9, 9):
    twins = twins.cut(Part.makeCylinder(5, 40, V(x, 0, 0)))
save(twins, "twins")
Part.makeCompound(insert.Faces).exportStep("faces.step")
Part.Shell(insert.Faces[1:]).exportStep("shell.step")
"""
with open("draw.py", "w", encoding="ascii") as file:
    file.write(DRAW)
for inch in ([], ["inch"]):
    subprocess.run([sys.executable, "draw.py", *inch], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, timeout=100, check=True,
                   env=os.environ | {"HOME": os.getcwd()})  # it writes its settings there

pi = math.pi


def measure(requests, timeout=200):
    """What measure_files answers; it must neither crash nor hang itself."""
    with open("requests.json", "w", encoding="ascii") as out:
        json.dump(requests, out)
    done = subprocess.run([sys.argv[1], "requests.json"], capture_output=True, text=True, timeout=timeout, check=True)
    check(not done.stderr, f"printed: {done.stderr[:200]}")
    return json.loads(done.stdout)


def cap(radius, height):
    """Spherical segment: pi h^2 (3 R - h) / 3 (Machinery's Handbook, volumes of solids)."""
    return pi * height**2 * (3 * radius - height) / 3


def frustum(a, b, h):
    return pi * h * (a * a + a * b + b * b) / 3


SEGMENT = cap(64.0625, 50)  # chord 125: R = (62.5^2 + 50^2) / 100
check(abs(SEGMENT - 372246.0045) < 5e-5, f"segment by hand: {SEGMENT}")
# The hole of radius 6.25 cuts the sphere at this height; the plug closes there.
edge = math.sqrt(64.0625**2 - 6.25**2) - 14.0625
INSERT = SEGMENT - cap(64.0625, 50 - edge)
# A pocket of radius 9 to height 55: the segment without its cap above the pocket's edge, and the pocket from there.
rim = math.sqrt(64.0625**2 - 81) - 14.0625
POCKET = SEGMENT - cap(64.0625, 50 - rim) + pi * 81 * (55 - rim)
# A bowl of radius 20 and depth 8 above a recess of radius 33 and depth 1, wherever it stands.
OFFSET = pi * 33**2 + pi * 400 * 8
# Sphere of radius 26 about z = -14, 15 mm under the recess's roof: a cap of height 11, less that beyond the tilted hole's edge circle.
tilted = math.sqrt(26**2 - 6.25**2)
INCLINED = pi * 33**2 + cap(26, 11) - cap(26, 26 - tilted)
# Roof at 12, hole tilted by 15 degrees, closed where it is first a full ring: the wedge of cylinder between roof and
# disc is pi r^2 times its length on the hole's axis, r tan(15).
SLANTED = pi * 33**2 + pi * 400 * 11 + pi * 6.25**2 * 6.25 * math.tan(math.radians(15))
EXPECTED = {  # volume, body, turned, number of segments (of the turned), depth
    "cylinder": (pi * 900 * 12, "cavity", True, 2),
    "frustum": (frustum(30, 20, 12), "cavity", True, 2),
    "segment": (SEGMENT, "cavity", True, 1),
    "insert": (INSERT, "insert", True, 2),
    "pocket": (POCKET, "insert", True, 3),
    "spigot": (INSERT + pi * 62.5**2 * 5, "insert", True, 3),
    "bolts": (POCKET, "insert", True, 3),
    "offset": (OFFSET, "insert", False, 0),
    "inclined": (INCLINED, "insert", False, 0),
    "slanted": (SLANTED, "insert", False, 0),
    "splines": (INSERT, "insert", True, 2),
    "blind": (frustum(25, 10, 15), "insert", True, 2),
    "twins": (OFFSET, "insert", False, 0),
}
HOLES = {"insert": 1, "pocket": 1, "spigot": 1, "bolts": 1, "offset": 1, "inclined": 1, "slanted": 1, "splines": 1, "twins": 2}
done = 0
names = [(name, way) for name in EXPECTED for way in ("", "-moved", "-over", "-inch")]
for (name, way), got in zip(names, measure([{"path": f"{name}{way}.step"} for name, way in names])):
    what = f"{name}{way}"
    done += 1
    if "message" in got:
        check(False, f"{what}: {got['message']}")
        continue
    volume, body, turned, segments = EXPECTED[name]
    near(got["volume_mm3"], volume, 1e-9 if name not in ("splines", "inclined", "slanted") else 2e-8, f"{what}: volume")
    check(got["body"] == body and got["turned"] == turned, f"{what}: {got['body']}, turned {got['turned']}: {got['not_turned']}")
    check(len(got["chain"]) == segments, f"{what}: {len(got['chain'])} segments: {got['chain']} {got['no_chain']}")
    check(bool(got["not_turned"]) != turned, f"{what}: reason {got['not_turned']!r}")
    check(len(got["plug_holes"]) == HOLES.get(name, 0), f"{what}: holes {got['plug_holes']}")
    check((got["unit"] == "INCH") == (way == "-inch"), f"{what}: unit {got['unit']}")
    if name == "inclined":
        hole = got["plug_holes"][0]
        near(hole["tilt_deg"], 15, 1e-7, f"{what}: tilt")
        near(hole["end_mm"], tilted * math.cos(math.radians(15)) - 14, 1e-7, f"{what}: plug end")
    if name in ("offset", "inclined"):
        check([s["kind"] for s in got["turned_rim"]] == ["line", "line"], f"{what}: rim {got['turned_rim']}")
        reach = 23 if name == "offset" else 3 + math.sqrt(26**2 - 15**2)
        inner = got["turned_rim"][-1]["end"]
        check(abs(inner[0] - reach) < 1e-3 and abs(inner[1] - 1) < 1e-6, f"{what}: band ends at {inner}, expected {reach}")

# Told sealing face and plug end: by hand again.
requests = [
    {"path": "insert.step", "plug_end_mm": 60},
    {"path": "segment.step", "sealing_mm": 10},
    {"path": "spigot.step", "sealing_mm": 0},
    {"path": "offset.step", "axis": [3, 0, 0, 0, 0, 1]},
    {"path": "insert.step", "body": "insert"},
]
hand = [INSERT + pi * 6.25**2 * (60 - edge), cap(64.0625, 40), INSERT, OFFSET, INSERT]
for request, volume, got in zip(requests, hand, measure(requests)):
    done += 1
    near(got.get("volume_mm3", 0), volume, 1e-9, f"{request}: {got.get('message')}")

# Shapes without a solid.
for path, words in (("faces.step", "no solid"), ("shell.step", "solid")):
    (got,) = measure([{"path": path}])
    done += 1
    check(words in got.get("message", ""), f"{path}: {got}")

# Damage. Cut off: always said so. Cut off with the end put back, bytes flipped, lines lost, numbers changed: an answer or a message.
with open("pocket.step", "rb") as file:
    whole = file.read()
chance = random.Random(5)
requests = []


def damaged(data, kind):
    path = f"damaged-{kind}-{len(requests)}.step"
    with open(path, "wb") as out:
        out.write(data)
    requests.append({"path": path, "time_limit_s": 20})


for i in range(200):
    damaged(whole[: len(whole) * i // 200], "cut")
for got in measure(requests):
    done += 1
    check(any(w in got.get("message", "") for w in ("cut off", "empty", "ends before", "not a STEP")), f"cut: {got}")
requests = []
lines = whole.split(b"\n")
first = whole.index(b"DATA;")
for _ in range(60):
    damaged(whole[: chance.randrange(first, len(whole))] + b"\nENDSEC;\nEND-ISO-10303-21;\n", "closed")
for flips in (1, 3, 10):
    for _ in range(50):
        data = bytearray(whole)
        for _ in range(flips):
            data[chance.randrange(first, len(data) - 20)] ^= 1 << chance.randrange(7)
        damaged(bytes(data), "flip")
for _ in range(50):
    at = chance.randrange(20, len(lines) - 5)
    damaged(b"\n".join(lines[:at] + lines[at + 1 :]), "line")
for _ in range(50):
    data = bytearray(whole)
    digits = [i for i in range(first, len(data)) if chr(data[i]).isdigit()]
    for _ in range(3):
        data[chance.choice(digits)] = ord("0") + chance.randrange(10)
    damaged(bytes(data), "digit")
answers = measure(requests, 400)
crashes = sum("crashed" in a.get("message", "") for a in answers)
measured = sum("message" not in a for a in answers)
done += len(answers)
for request, got in zip(requests, answers):
    if "message" in got:
        check(got["message"] and got["cure"], f"{request}: {got}")
    else:
        check(math.isfinite(got["volume_mm3"]) and got["volume_mm3"] > 0, f"{request}: {got}")
print(f"{len(answers)} damaged files: {measured} measured all the same, {crashes} crashed the kernel")
check(len(answers) == 310 and 0 < measured < 310, "the damage does no damage")
finish(done)

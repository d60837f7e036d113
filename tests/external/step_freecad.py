"""step_freecad.py WRITE_SAMPLES: FreeCAD reads the STEP files: one valid solid of the expected analytic surfaces, in
millimetres whatever the file's unit, with the expected volume, area and box. FreeCAD has our kernel: this checks the file."""
import json
import os
import subprocess
import sys
from collections import Counter

from solid_samples import check, finish, near, samples

INSIDE = """
import json
import Part
out = {}
for path in json.load(open("paths.json")):
    s = Part.read(path)
    b = s.optimalBoundingBox(False)  # of the surfaces: the quick one is loose on tori
    out[path] = dict(valid=s.isValid(), solids=len(s.Solids), closed=s.Solids[0].isClosed(), volume=s.Volume, area=s.Area,
                     box=[b.XMin, b.XMax, b.YMin, b.YMax, b.ZMin, b.ZMax], centre=list(s.Solids[0].CenterOfMass),
                     surfaces=[f.Surface.TypeId for f in s.Faces])
json.dump(out, open("freecad.json", "w"))
"""
KINDS = {"Part::GeomPlane": "plane", "Part::GeomCylinder": "cylinder", "Part::GeomCone": "cone", "Part::GeomSphere": "sphere",
         "Part::GeomToroid": "torus"}

parts = samples(sys.argv[1])
with open("paths.json", "w", encoding="ascii") as file:
    json.dump([p["step"] for p in parts], file)
with open("inside.py", "w", encoding="ascii") as file:
    file.write(INSIDE)
# Its exit code says nothing about the script's: the file it writes does. HOME: it writes its settings there.
subprocess.run(["freecadcmd", "inside.py"], stdin=subprocess.DEVNULL, env=os.environ | {"HOME": os.getcwd()}, timeout=100,
               check=True, stdout=subprocess.DEVNULL)
with open("freecad.json", encoding="ascii") as file:
    read = json.load(file)

for part in parts:
    path, r, got = part["step"], part["r_max_mm"], read[part["step"]]
    check(got["valid"] and got["closed"] and got["solids"] == 1, f"{path}: {got}")
    near(got["volume"], part["volume_mm3"], 1e-9, f"{path}: volume")
    near(got["area"], part["area_mm2"], 1e-9, f"{path}: area")
    near(got["centre"][2], part["centroid_z_mm"], 1e-8, f"{path}: centroid")
    surfaces = Counter(KINDS.get(s, s) for s in got["surfaces"])
    check(surfaces == Counter({k: n for k, n in part["faces"].items() if n}), f"{path}: surfaces {surfaces}")
    for side, expected in zip(got["box"], [-r, r, -r, r, part["z_min_mm"], part["z_max_mm"]]):
        check(abs(side - expected) < 1e-4, f"{path}: box ends at {side}, expected {expected}")
finish(len(parts))

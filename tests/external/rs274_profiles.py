"""The lathe program of every spec in profiles/ runs through the open rs274 interpreter (linuxcnc-uspace) with exit code 0, and its
canonical moves, swept with numpy (rs274_programs.py), cut the volume the program says, within 0.02 cc.

The program under test is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
import json
import os
import pathlib
import subprocess
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import rs274_run
from rs274_programs import LIMIT_CC, RINGS, cut_depth, volume_cc


def judge(spec):
    done = subprocess.run([os.environ["CHAMBER_PROGRAM"], "design", str(spec), "-o", spec.stem, "--json"], capture_output=True, text=True)
    if done.returncode:
        return False, done.stderr
    j = json.loads(done.stdout)
    program = next(f["path"] for f in j["files"] if f["path"].endswith(".ngc"))
    tools = {}
    for t in j["tools"]:
        drill = t["kind"] == "drill"
        tools[t["number"]] = {"drill": drill, "diameter_mm": t.get("diameter_mm", 0), "point_deg": 118, "nose_mm": t["nose_radius_mm"],
                              "orientation": t["orientation"]}
    table = pathlib.Path(spec.stem + ".tbl")
    table.write_text("".join(f"T{n} P{n} X0 Z0 D{2 * t['nose_mm'] / 25.4:.5f} Q{0 if t['drill'] else t['orientation']}\n" for n, t in tools.items()))
    code, calls, complaint = rs274_run.run(program, table)
    moves = rs274_run.moves(calls)
    r = (np.arange(RINGS) + 0.5) * j["dimensions"]["rim_radius_mm"] * 1.2 / RINGS
    case = {"hole_radius_mm": max(t["diameter_mm"] for t in tools.values()) / 2, "roof_mm": j["dimensions"]["roof_height_mm"]}
    cc = volume_cc(cut_depth(moves, tools, r), r, case)
    ok = code == 0 and len(moves) > 50 and abs(cc - j["volumes_cc"]["profile"]) <= LIMIT_CC
    return ok, f"exit {code}, {len(moves)} moves, {cc:.4f} cc cut, {j['volumes_cc']['profile']:.4f} cc drawn {complaint.strip()[:200]}"


specs = sorted((pathlib.Path(os.environ["CHAMBER_SOURCE"]) / "profiles").glob("*.toml"))
assert len(specs) >= 5, "too few specs"
failed = 0
for one in specs:
    good, text = judge(one)
    failed += not good
    print(f"{'ok  ' if good else 'FAIL'} {one.name}: {text}")
sys.exit(1 if failed else 0)

"""Every sample program runs through the open rs274 interpreter (linuxcnc-uspace) with exit code 0, and its canonical
moves, swept here with numpy alone, cut the expected chamber: volume within 0.02 cc.

The sweep shares nothing with the product: noses are discs stepped along the moves, the cavity is what lies under their
upper envelope over 40,000 rings, closed at the plug's plane.
"""
import json
import math
import pathlib
import subprocess
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import rs274_run

RINGS = 40000
SPACING_MM = 0.02  # chord of 0.02 on a nose of 0.2: 0.02^2/(8 * 0.2) = 0.00025 mm of scallop
LIMIT_CC = 0.02

# Control point less nose centre in noses, (X, Z), as the interpreter's own compensation shows (rs274_nose.py).
SHIFT = {1: (-1, 1), 2: (-1, -1), 3: (1, -1), 4: (1, 1), 5: (0, 1), 6: (-1, 0), 7: (0, -1), 8: (1, 0), 9: (0, 0)}


def cut_depth(moves, tools, r):
    """Depth (mm from Z0) that feeds have cut in each ring."""
    depth = np.zeros_like(r)
    step = r[1] - r[0]
    for move in moves:
        if move["rapid"]:
            continue
        tool = tools[move["tool"]]
        for z, x in rs274_run.points(move, SPACING_MM if move["tool"] != 1 else 1.0):
            if tool["drill"]:
                radius = tool["diameter_mm"] / 2
                inside = r <= radius
                reach = -z - r[inside] / math.tan(math.radians(tool["point_deg"] / 2))
                depth[inside] = np.maximum(depth[inside], reach)
                continue
            nose = tool["nose_mm"]
            shift = SHIFT[tool["orientation"]]
            xc, zc = x - shift[0] * nose, z - shift[1] * nose
            if -zc + nose <= 0:
                continue
            i = max(0, int((xc - nose) / step) - 1)
            j = min(len(r), int((xc + nose) / step) + 2)
            under = nose * nose - (r[i:j] - xc) ** 2
            ok = under >= 0
            part = depth[i:j]
            part[ok] = np.maximum(part[ok], -zc + np.sqrt(under[ok]))
    return depth


def volume_cc(depth, r, case):
    depth = np.where(r < case["hole_radius_mm"], np.minimum(depth, case["roof_mm"]), depth)
    return float(np.sum(depth * 2 * np.pi * r) * (r[1] - r[0]) / 1000)


def main():
    writer = sys.argv[1]
    subprocess.run([writer, "."], check=True)
    cases = json.loads(pathlib.Path("samples.json").read_text())
    assert len(cases) >= 20, "too few samples"
    failed = 0
    for case in cases:
        code, calls, complaint = rs274_run.run(case["program"], case["table"])
        moves = rs274_run.moves(calls)
        tools = {t["number"]: t for t in case["tools"]}
        outside = case["outside_diameter_mm"] / 2
        r = (np.arange(RINGS) + 0.5) * outside / RINGS
        # A blank that came with its bore: the same as drilled.
        depth = cut_depth(moves, tools, r)
        if not any(m["tool"] == 1 and not m["rapid"] for m in moves):
            depth[r < tools[1]["diameter_mm"] / 2] = case["thickness_mm"]
        cc = volume_cc(depth, r, case)
        ok = code == 0 and "G96" not in complaint and abs(cc - case["volume_cc"]) <= LIMIT_CC and len(moves) > 50
        failed += not ok
        print(f"{'ok  ' if ok else 'FAIL'} {case['program']}: exit {code}, {len(moves)} moves, "
              f"{cc:.4f} cc cut, {case['volume_cc']:.4f} cc drawn {complaint.strip()[:200]}")
    # A program spoilt on purpose must be told apart: the check can fail.
    text = pathlib.Path(cases[0]["program"]).read_text().replace("G3 ", "G2 ")
    pathlib.Path("spoilt.ngc").write_text(text)
    code, calls, _ = rs274_run.run("spoilt.ngc", cases[0]["table"])
    tools = {t["number"]: t for t in cases[0]["tools"]}
    r = (np.arange(RINGS) + 0.5) * cases[0]["outside_diameter_mm"] / 2 / RINGS
    cc = volume_cc(cut_depth(rs274_run.moves(calls), tools, r), r, cases[0])
    if code == 0 and abs(cc - cases[0]["volume_cc"]) <= LIMIT_CC:
        print("FAIL: arcs turned round were not noticed")
        failed += 1
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

"""What the lathe programs of a design cut, swept with numpy alone from moves somebody else has read; used by rs274_profiles.py and
type_a_profiles.py. Shares nothing with the product but the JSON that names tools and files.
"""
import json
import os
import pathlib
import subprocess
import tomllib

import numpy as np

import rs274_run
from rs274_programs import LIMIT_CC, RINGS, SHIFT, SPACING_MM, cut_depth, volume_cc

LIMIT_MM = 0.005  # finished outside diameters
PROFILES = pathlib.Path(os.environ["CHAMBER_SOURCE"]) / "profiles"
UNITS = {"mm": 1.0, "in": 25.4}


def specs():
    found = sorted(PROFILES.glob("*.toml"))
    assert len(found) >= 5, "too few specs"
    return found


def design(spec, folder, *arguments):
    """The JSON of a design, or None with what was complained of."""
    done = subprocess.run([os.environ["CHAMBER_PROGRAM"], "design", str(spec), "-o", folder, "--json", *arguments],
                          capture_output=True, text=True)
    return (json.loads(done.stdout), "") if done.returncode == 0 else (None, done.stderr)


def tools_of(setup):
    out = {}
    for op in setup["operations"]:
        t = op["tool"]
        out[t["number"]] = {"kind": t["kind"], "drill": t["kind"] == "drill", "diameter_mm": t.get("diameter_mm", 0), "point_deg": 118,
                            "nose_mm": t.get("nose_radius_mm", 0), "orientation": t.get("orientation", 0)}
    return out


def chamber_cc(j, moves_of):
    """Volume the boring tools and the drill leave, plug fitted."""
    r = (np.arange(RINGS) + 0.5) * j["dimensions"]["rim_radius_mm"] * 1.2 / RINGS
    drill, depth = 0, None
    for setup, moves in zip(j["turning"]["setups"], moves_of):
        tools = tools_of(setup)
        drill = max([drill] + [t["diameter_mm"] for t in tools.values() if t["drill"]])
        if setup["side"] == "chamber side":
            inside = [m for m in moves if tools[m["tool"]]["kind"] in ("boring", "drill")]
            # The common sweep steps tool 1 coarsely, being a drill there: here any drill lies on the axis.
            depth = cut_depth([{**m, "tool": 1 if tools[m["tool"]]["drill"] else m["tool"] + 100} for m in inside],
                              {1: {"drill": True, "diameter_mm": drill, "point_deg": 118}} | {n + 100: t for n, t in tools.items()}, r)
    depth[r < drill / 2] = np.maximum(depth[r < drill / 2], 1e3)
    return volume_cc(depth, r, {"hole_radius_mm": drill / 2, "roof_mm": j["dimensions"]["roof_height_mm"]})


def millimetres(text):
    number, unit = text.split()
    return float(number) * UNITS[unit]


def steps_of(spec):
    """Outside steps as the spec says them: (diameter, from, to) in mm over the sealing face."""
    out, z = [], 0.0
    for step in tomllib.loads(spec.read_text())["body"]["step"]:
        length = millimetres(step["length"])
        out.append((millimetres(step["diameter"]), z, z + length))
        z += length
    return out


def worst_diameter(spec, j, moves_of):
    """Largest departure of a finished outside diameter from the spec, mm; sampled clear of edge breaks and inner corners."""
    height, worst = j["dimensions"]["insert_height_mm"], 0.0
    steps = steps_of(spec)
    z = np.concatenate([np.linspace(low + 1.2, high - 1.2, 400) for _, low, high in steps])
    wanted = np.concatenate([np.full(400, d) for d, _, _ in steps])
    left = np.full_like(z, 1e3)  # radius of what is left there
    for setup, moves in zip(j["turning"]["setups"], moves_of):
        tools = tools_of(setup)
        for move in moves:
            tool = tools[move["tool"]]
            if move["rapid"] or tool["kind"] != "turning":
                continue
            nose, shift = tool["nose_mm"], SHIFT[tool["orientation"]]
            for zp, xp in rs274_run.points(move, SPACING_MM):
                xc, zc = xp - shift[0] * nose, zp - shift[1] * nose
                at = -zc if setup["side"] == "chamber side" else height + zc
                under = nose * nose - (z - at) ** 2
                ok = under >= 0
                left[ok] = np.minimum(left[ok], xc - np.sqrt(under[ok]))
    worst = np.max(np.abs(2 * left - wanted))
    return float(worst)


def judge(spec, j, moves_of):
    """Whether programs cut what is drawn, and a sentence."""
    cc, wanted = chamber_cc(j, moves_of), j["volumes_cc"]["profile"]
    off = worst_diameter(spec, j, moves_of)
    ok = abs(cc - wanted) <= LIMIT_CC and off <= LIMIT_MM
    return ok, f"{sum(map(len, moves_of))} moves, {cc:.4f} cc cut, {wanted:.4f} cc drawn, diameters within {off:.4f} mm"

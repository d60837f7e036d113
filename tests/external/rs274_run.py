"""Runs the rs274 interpreter on a program and returns its canonical moves; used by the rs274_* tests."""
import math
import os
import re
import subprocess

CALL = re.compile(r"([A-Z_]+)\(([^)]*)\)")


def run(program, table):
    """Exit code, canonical calls as (name, [arguments]), and what it complained of."""
    # The interpreter keeps its tool table in a file in the home folder: two runs at once would read each other's.
    done = subprocess.run(["rs274", "-g", "-t", str(table), str(program)], capture_output=True, text=True, timeout=60,
                          env={**os.environ, "HOME": os.getcwd()})
    calls = []
    for line in done.stdout.splitlines():
        found = CALL.search(line)
        if found:
            calls.append((found.group(1), [a.strip() for a in re.split(r"[,\s]+", found.group(2)) if a.strip()]))
    return done.returncode, calls, done.stderr


def moves(calls):
    """Straight and circular moves of the control point: dicts with tool, rapid, start, end (z, x as radius, in mm) and, for
    arcs, centre and turn (+1 from Z towards X). The interpreter's lengths follow the unit it announces."""
    out, tool, selected, at, scale = [], 0, 0, None, 1.0
    for name, args in calls:
        if name == "USE_LENGTH_UNITS":
            scale = 1.0 if args[0] == "CANON_UNITS_MM" else 25.4
        elif name == "SELECT_TOOL":
            selected = int(args[0])
        elif name == "CHANGE_TOOL":  # its argument is a place in the table, not the tool's number
            tool = selected
        elif name in ("STRAIGHT_TRAVERSE", "STRAIGHT_FEED"):
            end = (float(args[2]) * scale, float(args[0]) * scale)
            if at is not None:
                out.append({"tool": tool, "rapid": name == "STRAIGHT_TRAVERSE", "start": at, "end": end, "turn": 0})
            at = end
        elif name == "ARC_FEED":
            z, x, zc, xc = (float(a) * scale for a in args[:4])
            out.append({"tool": tool, "rapid": False, "start": at, "end": (z, x), "centre": (zc, xc), "turn": int(args[4])})
            at = (z, x)
    return out


def points(move, spacing):
    """Points along a move, ends included, no farther apart than the spacing."""
    (z0, x0), (z1, x1) = move["start"], move["end"]
    if move["turn"] == 0:
        n = max(1, math.ceil(math.hypot(z1 - z0, x1 - x0) / spacing))
        return [(z0 + (z1 - z0) * i / n, x0 + (x1 - x0) * i / n) for i in range(n + 1)]
    zc, xc = move["centre"]
    a0, a1 = math.atan2(x0 - xc, z0 - zc), math.atan2(x1 - xc, z1 - zc)
    if move["turn"] > 0 and a1 <= a0:
        a1 += 2 * math.pi
    if move["turn"] < 0 and a1 >= a0:
        a1 -= 2 * math.pi
    r0, r1 = math.hypot(x0 - xc, z0 - zc), math.hypot(x1 - xc, z1 - zc)
    n = max(1, math.ceil(abs(a1 - a0) * max(r0, r1) / spacing))
    out = []
    for i in range(n + 1):
        t = i / n
        a, r = a0 + (a1 - a0) * t, r0 + (r1 - r0) * t
        out.append((zc + r * math.cos(a), xc + r * math.sin(a)))
    return out

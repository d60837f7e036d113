"""G41 and G42 as our proof takes them against what the rs274 interpreter makes of them: the same way of the control point,
move by move where either cuts, lead-in and lead-out included.
"""
import json
import math
import pathlib
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import rs274_run

LIMIT_MM = 1e-3  # programs are written to 0.001 mm, the interpreter prints 0.0001 mm


def cuts_of(moves):
    """The cuts in order, each a list of moves between two rapids."""
    out = [[]]
    for m in moves:
        if m["rapid"]:
            out.append([])
        else:
            out[-1].append(m)
    return [c for c in out if c]


def distance(p, m):
    """From a point to a move, exact."""
    (z0, x0), (z1, x1) = m["start"], m["end"]
    ends = min(math.dist(p, m["start"]), math.dist(p, m["end"]))
    if m["turn"] == 0:
        dz, dx = z1 - z0, x1 - x0
        length2 = dz * dz + dx * dx
        t = 0 if length2 == 0 else max(0, min(1, ((p[0] - z0) * dz + (p[1] - x0) * dx) / length2))
        return math.dist(p, (z0 + t * dz, x0 + t * dx))
    zc, xc = m["centre"]
    a0, a1, a = (math.atan2(x - xc, z - zc) for z, x in (m["start"], m["end"], p))
    turned, at = ((v - a0) * m["turn"] % (2 * math.pi) for v in (a1, a))
    radius = (math.dist(m["start"], m["centre"]) + math.dist(m["end"], m["centre"])) / 2
    return min(ends, abs(math.dist(p, m["centre"]) - radius)) if at <= turned else ends


def farthest(cut, other):
    """Farthest that a point of one cut lies from the other."""
    return max(min(distance(p, m) for m in other) for c in cut for p in rs274_run.points(c, 1.0))


def main():
    subprocess.run([sys.argv[1], "."], check=True)
    cases = json.loads(pathlib.Path("compensated.json").read_text())
    assert len(cases) == 9
    failed = 0
    for case in cases:
        code, calls, complaint = rs274_run.run(case["program"], case["table"])
        theirs = rs274_run.moves(calls)
        ours = case["paths"]
        worst, cuts, moves = 0.0, 0, 0
        for tool in {m["tool"] for m in ours} - {7, 8}:  # threads are no feeds to the interpreter
            mine, rs = (cuts_of([m for m in all_moves if m["tool"] == tool]) for all_moves in (ours, theirs))
            if len(mine) != len(rs):
                worst = 1e9
                print(f"     tool {tool}: {len(mine)} cuts, rs274 makes {len(rs)}")
            for a, b in zip(mine, rs):
                worst = max(worst, farthest(a, b), farthest(b, a))
                cuts, moves = cuts + 1, moves + len(a)
        ok = code == 0 and cuts >= 3 and worst <= LIMIT_MM
        failed += not ok
        print(f"{'ok  ' if ok else 'FAIL'} {case['program']}: {cuts} cuts of {moves} moves, worst {worst:.5f} mm {complaint.strip()[:200]}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

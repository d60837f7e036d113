"""What the checks of STEP and STL files share: the sample files, and reading binary STL."""
import json
import math
import struct
import subprocess
import sys

import numpy


def samples(program):
    """Runs write_samples into the current folder; returns its list of expectations."""
    subprocess.run([program, "."], check=True)
    with open("expected.json", encoding="ascii") as file:
        parts = json.load(file)
    check(len(parts) == 8, f"8 samples expected, {len(parts)} written")
    return parts


failures = 0


def check(ok, message):
    """Counts and prints a failed check."""
    global failures
    if not ok:
        failures += 1
        print(f"FAILED: {message}")


def near(value, expected, relative, what):
    off = abs(value - expected) / abs(expected)
    check(off <= relative, f"{what}: {value!r} instead of {expected!r}, off by {off:.2g}, allowed {relative:.0e}")


def finish(done):
    """Ends the script: exit code 1 after a failed check or if nothing was checked."""
    check(done > 0, "nothing was checked")
    print(f"{done} files checked, {failures} failures")
    sys.exit(1 if failures else 0)


def read_stl(path):
    """Triangles of a binary STL file: an array (triangle, corner, coordinate) in double precision."""
    with open(path, "rb") as file:
        data = file.read()
    (count,) = struct.unpack_from("<I", data, 80)
    facets = numpy.frombuffer(data, dtype=[("normal", "<3f4"), ("corners", "<9f4"), ("rest", "<u2")], count=count, offset=84)
    return facets["corners"].astype(float).reshape(count, 3, 3)


def to_outline(outline, points):
    """Distance of each point (..., 3) from the body of revolution of an outline of lines and arcs."""
    r, z = numpy.hypot(points[..., 0], points[..., 1]), points[..., 2]
    best = numpy.full(r.shape, math.inf)
    for s in outline:
        (ar, az), (br, bz) = s["start"], s["end"]
        if s["kind"] == "line":
            dr, dz = br - ar, bz - az
            t = numpy.clip(((r - ar) * dr + (z - az) * dz) / (dr * dr + dz * dz), 0, 1)
            best = numpy.minimum(best, numpy.hypot(r - ar - t * dr, z - az - t * dz))
            continue
        cr, cz = s["centre"]
        turn = 1 if s["kind"] == "ccw" else -1
        start = math.atan2(az - cz, ar - cr)
        total = turn * (math.atan2(bz - cz, br - cr) - start) % (2 * math.pi)
        on = turn * (numpy.arctan2(z - cz, r - cr) - start) % (2 * math.pi) <= total
        ends = numpy.minimum(numpy.hypot(r - ar, z - az), numpy.hypot(r - br, z - bz))
        best = numpy.minimum(best, numpy.where(on, abs(numpy.hypot(r - cr, z - cz) - s["radius"]), ends))
    return best

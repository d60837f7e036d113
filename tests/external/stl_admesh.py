"""stl_admesh.py WRITE_SAMPLES: admesh finds nothing to mend in the STL files: one closed part, no facet disconnected, degenerate,
removed, added or turned, no normal corrected; and its volume lies within the bound the result states.

admesh sums in single precision: 2e-6 of the volume is allowed for it."""
import re
import subprocess
import sys

from solid_samples import check, finish, samples

ZERO = ["Facets with 1 disconnected edge", "Facets with 2 disconnected edges", "Facets with 3 disconnected edges",
        "Total disconnected facets", "Degenerate facets", "Edges fixed", "Facets removed", "Facets added", "Facets reversed",
        "Backwards edges", "Normals fixed"]

parts = samples(sys.argv[1])
for part in parts:
    said = subprocess.run(["admesh", part["stl"]], capture_output=True, text=True, check=True).stdout
    for what in ZERO:
        found = re.search(re.escape(what) + r"\s*:\s*(\d+)(?:\s+(\d+))?", said)
        check(found and all(n in (None, "0") for n in found.groups()), f"{part['stl']}: {found.group(0) if found else what + '?'}")
    check(re.search(r"Number of parts\s*:\s*1\b", said), f"{part['stl']}: not one part")
    facets = re.search(r"Number of facets\s*:\s*(\d+)\s+(\d+)", said)
    check(facets and set(facets.groups()) == {str(part["triangles"])}, f"{part['stl']}: {facets.groups() if facets else '?'} facets")
    volume = float(re.search(r"Volume\s*:\s*(-?[\d.]+)", said).group(1))
    bound = part["stl_bound_mm3"] + 2e-6 * part["volume_mm3"]
    check(abs(volume - part["volume_mm3"]) <= bound, f"{part['stl']}: volume {volume}, expected {part['volume_mm3']} +- {bound}")
finish(len(parts))

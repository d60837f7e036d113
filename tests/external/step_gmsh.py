"""step_gmsh.py WRITE_SAMPLES: gmsh reads the STEP files and finds the volume, both from the file's faces (through the kernel it
shares with us: a check of the file) and from its own mesh of them.

Source of the mesh's bound: the volume between a surface and a mesh of it is at most mesh area x distance, taken triangle by
triangle; the distance of each triangle's middle and sides from the outline is measured here, without gmsh."""
import subprocess
import sys

import numpy

from solid_samples import check, finish, near, read_stl, samples, to_outline


def gmsh(*arguments):
    run = subprocess.run(["gmsh", *arguments], capture_output=True, text=True, timeout=100)
    check(run.returncode == 0 and "Error" not in run.stdout + run.stderr, f"gmsh {arguments}: {run.stdout}{run.stderr}")
    return run.stdout


def mass(part):
    with open("read.geo", "w", encoding="ascii") as file:
        file.write(f'SetFactory("OpenCASCADE");\nGeometry.OCCTargetUnit = "MM";\nMerge "{part["step"]}";\nn() = Volume{{:}};\n'
                   'Printf("solids %g", #n());\nPrintf("volume %.15g", Mass Volume{n(0)});\n')
    said = dict(line.split() for line in gmsh("read.geo", "-0").splitlines() if line.startswith(("solids ", "volume ")))
    check(said.get("solids") == "1", f"{part['step']}: gmsh finds {said.get('solids')} solids")
    near(float(said.get("volume", "nan")), part["volume_mm3"], 1e-9, f"{part['step']}: gmsh's volume of the solid")


def mesh(part, per_turn, smallest, largest):
    gmsh(part["step"], "-2", "-setnumber", "Mesh.MeshSizeFromCurvature", str(per_turn), "-clmin", str(smallest), "-clmax", str(largest),
         "-format", "stl", "-bin", "-o", "mesh.stl")
    t = read_stl("mesh.stl")
    p, q, r = t[:, 0], t[:, 1], t[:, 2]
    normals = numpy.cross(q - p, r - p)
    volume = (p * normals).sum() / 6
    spots = numpy.stack([(p + q) / 2, (q + r) / 2, (r + p) / 2, (p + q + r) / 3])
    bound = (numpy.linalg.norm(normals, axis=1) / 2 * to_outline(part["outline"], spots).max(axis=0)).sum()
    farthest_node = to_outline(part["outline"], t).max()
    check(farthest_node < 1e-5, f"{part['step']}: a node of gmsh's mesh lies {farthest_node:.2g} mm from the outline")
    miss = abs(volume - part["volume_mm3"])
    check(miss <= bound, f"{part['step']}: gmsh's mesh encloses {volume}, {miss:.3g} mm3 off, bound {bound:.3g}")
    return bound


done = 0
for sample in samples(sys.argv[1]):
    mass(sample)
    if sample["unit"] == "mm" and sample["genus"] == 0:
        rough, fine = mesh(sample, 16, 0.8, 8), mesh(sample, 32, 0.4, 4)
        check(fine < rough / 2, f"{sample['step']}: the bound of the finer mesh is {fine}, of the coarser {rough}")
        check(fine < 0.005 * sample["volume_mm3"], f"{sample['step']}: the finer mesh is bound to {fine} mm3 only")
    done += 1
finish(done)

#!/usr/bin/python3
"""The installed product, away from its sources and moved after installation.

Arguments: what to check (moved, headers, project), and the build folder. The numbers of the project's programs are compared with what
is worked out here.
"""
import concurrent.futures
import math
import os
import pathlib
import re
import subprocess
import sys

SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
BUILD = pathlib.Path(sys.argv[2])
HERE = pathlib.Path.cwd()
PREFIX = HERE / "moved here"
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def run(*command, env=None, cwd="/"):
    return subprocess.run([str(c) for c in command], capture_output=True, text=True, cwd=cwd, env={**os.environ, **(env or {})})


def install():
    r = run("cmake", "--install", BUILD, "--prefix", HERE / "first")
    check(r.returncode == 0, f"cmake --install: {r.stderr}")
    (HERE / "first").rename(PREFIX)
    for path in ("bin/chamber", "lib/chamber/libchamber_solid_kernel.so", "lib/chamber/chamber-measure-step", "lib/libchamber_job.a",
                 "include/chamber/solve/fit.hpp", "lib/cmake/chamber/chamber-config.cmake", "share/chamber/demo.toml",
                 "share/chamber/guideline.toml", "share/chamber/lathes/bench-rear-mm.toml", "share/man/man1/chamber.1.gz",
                 "share/bash-completion/completions/chamber", "share/zsh/vendor-completions/_chamber",
                 "share/fish/vendor_completions.d/chamber.fish", "share/doc/chamber/copyright"):
        check((PREFIX / path).is_file(), f"{path} is installed")


def moved():
    program, share = PREFIX / "bin/chamber", PREFIX / "share/chamber"
    r = run(program, "design", share / "demo.toml", "-o", HERE / "out", env={"LD_DEBUG": "files"})
    check(r.returncode == 0, f"design: {r.stderr[-500:]}")
    loaded = re.findall(r"file=(/[^\[;\n]*libchamber_solid_kernel\.so) \[", r.stderr)
    check(loaded and set(loaded) == {str(PREFIX / "lib/chamber/libchamber_solid_kernel.so")}, f"the module is the moved one: {loaded}")
    r = run(program, "check", HERE / "out/sand-drag-250-insert.step", "--engine", share / "demo.toml")
    check(r.returncode == 0 and "21.500" in r.stdout, f"check: {r.stdout}{r.stderr}")
    r = run(program, "target", share / "sites.toml", "--guideline", share / "guideline.toml")
    check(r.returncode == 0, f"the guideline to start one's own from is read: {r.stderr}")
    check(r.stdout == run(program, "target", share / "sites.toml").stdout, "and says what the built-in one says")
    # By a name found on the path, and through a link.
    (HERE / "link").symlink_to(program)
    for command, env in (((HERE / "link",), None), (("chamber",), {"PATH": f"{PREFIX}/bin:/usr/bin:/bin"})):
        r = run(*command, "design", share / "demo.toml", "-o", HERE / "again", "--only", "json", env=env)
        check(r.returncode == 0, f"{command}: {r.stderr}")
    for file in ("bin/chamber", "lib/chamber/chamber-measure-step", "lib/chamber/libchamber_solid_kernel.so"):
        check("RUNPATH" not in run("readelf", "-d", PREFIX / file).stdout, f"{file} leans on no folder")
        check(str(SOURCE).encode() not in (PREFIX / file).read_bytes(), f"{file} does not name where it was built")
    (PREFIX / "lib/chamber/chamber-measure-step").unlink()
    r = run(program, "check", HERE / "out/sand-drag-250-insert.step")
    check(r.returncode != 0 and str(PREFIX / "lib/chamber") in r.stderr, f"a missing process is told: {r.stderr}")
    (PREFIX / "lib/chamber/libchamber_solid_kernel.so").unlink()
    r = run(program, "design", share / "demo.toml", "-o", HERE / "none")
    check(r.returncode != 0 and str(PREFIX / "lib/chamber") in r.stderr and "CHAMBER_KERNEL_DIR" in r.stderr, f"so is a missing module: {r.stderr}")
    check(not (HERE / "none").exists(), "and nothing is written")


def headers():
    """Every one alone, in C++20 and without a warning; what only the rooms' insides see is not within reach."""
    include = PREFIX / "include"
    found = sorted(include.rglob("*.hpp"))
    rooms = {f.parent.name for f in found}
    check(rooms == {"units", "figure", "profile", "engine", "shapes", "solve", "solid", "turning", "drawing", "papers", "job", "loading"}, f"rooms {rooms}")
    check(len(found) > 50, f"{len(found)} headers")

    def compile(header):
        return header, run("g++", "-std=c++20", "-fsyntax-only", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-I", include,
                           "-include", header, "-x", "c++", "/dev/null")

    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        for header, r in pool.map(compile, found):
            check(r.returncode == 0, f"{header.relative_to(include)}: {r.stderr[:600]}")
    for unseen in ("Standard_Version.hxx", "Eigen/Core", "chamber/solid/revolve.hpp", "chamber/solve/evaluate.hpp"):
        r = run("g++", "-std=c++20", "-fsyntax-only", "-I", include, "-include", unseen, "-x", "c++", "/dev/null")
        check(r.returncode != 0 and "No such file" in r.stderr, f"{unseen} is not within reach")


def figures(text):
    return {k: v for k, v in (line.split(" ", 1) for line in text.splitlines() if not line.startswith("#"))}


def near(value, expected, within, what):
    check(abs(float(value) - expected) <= within, f"{what}: {value}, by hand {expected:.6f}")


def solved(program):
    r = run(program)
    check(r.returncode == 0, f"solve: {r.stdout}{r.stderr}")
    f = figures(r.stdout)
    bore, pocket = 33.2, 7.5
    mouth, radius = bore - float(f["squish_width"]), float(f["bowl_radius"])
    at_mouth = float(f["squish_width"]) * math.tan(math.radians(float(f["squish_angle"])))

    def height(r):
        if r > mouth:
            return (bore - r) * math.tan(math.radians(float(f["squish_angle"])))
        bowl = lambda r: at_mouth + math.sqrt(radius**2 - r**2) - math.sqrt(radius**2 - mouth**2)
        return bowl(r) if r > pocket else bowl(pocket) + float(f["pocket_depth"])

    # Rings of equal width, by their middles: good to 1e-6 of the volume but for the two steps, which fall between rings.
    n = 33200
    cc = sum(2 * math.pi * r * height(r) for r in (bore * (i + 0.5) / n for i in range(n))) * bore / n / 1000
    near(f["head_cc"], cc, 2e-3, "solve: volume of the printed dimensions")
    near(f["head_cc"], 21.5, 5e-3, "solve: wanted volume")
    near(f["clearance_cc"], float(f["head_cc"]) + math.pi * bore**2 * 1.1 / 1000, 1e-3, "solve: clearance volume")


def forecast(program):
    r = run(program, "1500")
    check(r.returncode == 0, f"forecast: {r.stderr}")
    f = figures(r.stdout)
    # US Standard Atmosphere 1976, table I: 845.60 hPa at a geometric altitude of 1500 m (from memory).
    near(f["ambient_kpa"], 84.56, 0.005, "forecast: air at 1500 m")
    # The trapped stroke is what is left above the port, which opens half of 190 degrees before bottom dead centre.
    t, a, l = math.radians(180 - 95), 36.0, 130.0
    travel = a + l - (a * math.cos(t) + math.sqrt(l * l - (a * math.sin(t)) ** 2))
    area = math.pi * 33.2**2 / 1000
    clearance = float(f["head_cc"]) + area * 1.1
    near(f["trapped_ratio"], 1 + area * travel / clearance, 1e-4, "forecast: trapped ratio")
    # Air squeezed with the exponent 1.30 that is documented as the default.
    for key, ambient in (("gauge_kpa", float(f["ambient_kpa"])), ("gauge_at_sea_level_kpa", 101.325)):
        near(f[key], ambient * (float(f["trapped_ratio"]) ** 1.3 - 1), 0.05, f"forecast: {key}")
    check(f["bound_by"] == "ratio ceiling" and abs(float(f["trapped_ratio"]) - 7.8) < 1e-4, "forecast: the ceiling binds up there")


def volume(program):
    """A band as a cone, an upright wall, a flat roof: frustum and cylinder."""
    cone = math.pi / 3 * 1.0 * (33**2 + 33 * 25 + 25**2)
    hand = (cone + math.pi * 25**2 * 7) / 1000
    for name, text in (("mm.csv", "radius,depth\n33,0\n25,1\n25,8\n0,8\n"),
                       ("inch.csv", "diameter in,depth in\n" + "".join(f"{2 * x / 25.4:.9f},{z / 25.4:.9f}\n" for x, z in
                                                                       ((33, 0), (25, 1), (25, 8), (0, 8))))):
        (HERE / name).write_text(text)
        r = run(program, HERE / name)
        check(r.returncode == 0, f"volume: {r.stderr}")
        f = figures(r.stdout)
        near(f["volume_cc"], hand, 2e-5, f"{name}: volume")
        near(f["depth_mm"], 8, 1e-3, f"{name}: depth")
        near(f["mouth_radius_mm"], 25, 1e-3, f"{name}: mouth")
    (HERE / "bad.csv").write_text("radius,depth\n33,0\nabc,1\n")
    r = run(program, HERE / "bad.csv")
    check(r.returncode == 3 and "bad.csv" in r.stderr and "Cure:" in r.stderr, f"a bad file is told: {r.stderr}")


def project():
    for folder, version in (("build", "0.1"), ("other", "0.2")):
        r = run("cmake", "-G", "Ninja", "-S", SOURCE / "tests/package/project", "-B", HERE / folder, "-DCMAKE_BUILD_TYPE=Release",
                f"-DCMAKE_PREFIX_PATH={PREFIX}", f"-DCHAMBER_WANTED={version}")
        check((r.returncode == 0) == (version == "0.1"), f"find_package(chamber {version}): {r.stdout[-300:]}{r.stderr}")
    r = run("cmake", "--build", HERE / "build", "-j", "2")
    check(r.returncode == 0, f"the project builds: {r.stdout[-1500:]}")
    solved(HERE / "build/solve")
    forecast(HERE / "build/forecast")
    volume(HERE / "build/volume")
    kernel = re.search(r"kernel: (.*)", (HERE / "build/kernel.txt").read_text())[1]
    r = run(HERE / "build/design", PREFIX / "share/chamber/demo.toml", HERE / "out", env={"CHAMBER_KERNEL_DIR": kernel})
    check(r.returncode == 0, f"design: {r.stderr}")
    f = figures(r.stdout)
    near(f["solid_cc"], 21.5, 5e-3, "design: solid")
    check(int(f["files"]) == len(list((HERE / "out").iterdir())) > 10, "design: files")
    check((SOURCE / "tools/examples/solve.cpp").read_text() in
          re.findall(r"```cpp\n(.*?)```", (SOURCE / "README.md").read_text(), re.S), "README shows tools/examples/solve.cpp as it is")


install()
{"moved": moved, "headers": headers, "project": project}[sys.argv[1]]()
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

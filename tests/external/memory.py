#!/usr/bin/python3
"""Memory of the program with real processes. `leaks`: every command under LeakSanitizer, which is laid under the program as
it is (its allocator alone; the code needs no other build). `growth FEW MANY`: a set of many inserts takes no more memory
than one of few, in either order. The program is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
import json
import os
import pathlib
import subprocess
import sys

PROGRAM = os.environ["CHAMBER_PROGRAM"]
PROFILES = pathlib.Path(os.environ["CHAMBER_SOURCE"]) / "profiles"
HERE = pathlib.Path.cwd()
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)
    return ok


def leaks():
    found = subprocess.run(["g++", "-print-file-name=liblsan.so.0"], capture_output=True, text=True, check=True)
    library = os.path.realpath(found.stdout.strip())
    if not check(os.path.exists(library), f"the compiler brings no LeakSanitizer: {library}"):
        return
    # Fontconfig keeps its list of the system's fonts to the end of the process, the CAD kernel documents and tables of its own.
    (HERE / "known").write_text("leak:libfontconfig\nleak:libTK\n")
    environment = {**os.environ, "LD_PRELOAD": library, "LSAN_OPTIONS": f"suppressions={HERE / 'known'}:print_suppressions=0"}

    def run(*command, stdin=""):
        return subprocess.run(list(map(str, command)), capture_output=True, text=True, env=environment, input=stdin)

    # First that it would be seen: 4321 bytes lost in a thread.
    (HERE / "leaky.cpp").write_text("#include <cstdlib>\n#include <thread>\nint main() { std::thread([] { "
                                    "volatile char* p = static_cast<char*>(std::malloc(4321)); p[0] = 1; }).join(); }\n")
    subprocess.run(["g++", "leaky.cpp", "-o", "leaky"], check=True)
    r = run("./leaky")
    check(r.returncode == 23 and "4321 byte(s) leaked" in r.stderr, f"a leak is seen: {r.returncode}: {r.stderr[-300:]}")
    # Not `set`: its workers are forked beside the thread that waits for signals, and the sanitizer, which believes that
    # thread to live on in them, waits for it. What they do is what `design` does; `growth` watches them. Nor STEP files: they
    # are measured in a process whose memory is limited to less than the sanitizer wants.
    demo, sites = PROFILES / "demo.toml", PROFILES / "sites.toml"
    broken = HERE / "broken.toml"
    broken.write_text(demo.read_text().replace('"21.50 cc"', '"45 cc"'))
    for code, *command in ((0, "design", demo, "-o", "out", "--in-the-air", "--measure-stops", "--step-pictures"),
                           (4, "design", broken, "-o", "out", "--json"),
                           (0, "target", sites, "-o", "out/page.html", "--trials", 2000),
                           (0, "trim", demo, "--measured", "21.30 cc", "--filled", "plug fitted", "-o", "out"),
                           (0, "check", demo, "--picture", "out/a.svg"),
                           (0, "check", "out/sand-drag-250-drawing.dxf", "--layer", "PROFILE"),
                           (0, "check", "out/sand-drag-250-first.ngc", "--engine", demo),
                           (3, "intake", "-o", "sheet.toml"), (0, "intake", "--blank"), (2, "desing"), (6, "target", "no such")):
        r = run(PROGRAM, *command)
        check(r.returncode == code and "LeakSanitizer" not in r.stderr,
              f"{' '.join(map(str, command))}: code {r.returncode}: {r.stderr[-1500:]}")


def spec_of(count):
    """The same motor at so many altitudes; the gauge wanted everywhere asks each for a volume of its own."""
    text = (PROFILES / "sites.toml").read_text()
    head, rest = text[:text.index("[[site]]")], text[text.index("[want]"):]
    head = head[:head.index("[[reading]]")] + head[head.index("[use]"):]
    rest = rest.replace('site = "coast dunes"', 'gauge_pressure = "208 psi"\nsite = "place 0"')
    rest = rest.replace('min = "22 mm", max = "60 mm"', 'min = "19 mm", max = "300 mm"')
    rest = rest.replace('min = "1 mm", max = "5 mm"', 'min = "0.6 mm", max = "9 mm"')
    rest = rest[:rest.index("[limits]")] + '[limits]\nwall_min = "2 mm"\ngroove_wall_min = "1 mm"\nplug_to_crown_min = "3 mm"\n' + rest[rest.index("[body]"):]
    sites = "".join(f'[[site]]\nname = "place {i}"\naltitude = "{i * 4200 / count:.1f} m"\n' for i in range(count))
    path = HERE / f"{count}.toml"
    path.write_text(head + sites + rest.replace('file = "', f'file = "{PROFILES}/'))
    return path


def peak_mib(count):
    """The most memory any one process of the set took, and how many inserts it made."""
    with open(HERE / "set.json", "w") as out, open(HERE / "set.err", "w") as err:
        process = subprocess.Popen([PROGRAM, "set", spec_of(count), "-o", HERE / "out", "--apart", "0.0005 cc", "--json"], stdout=out, stderr=err)
        _, status, usage = os.wait4(process.pid, 0)
    if not check(status == 0, f"{count} places: {(HERE / 'set.err').read_text()}"):
        return 0, 0
    return usage.ru_maxrss / 1024, len(json.loads((HERE / "set.json").read_text())["inserts"])


def growth(few, many):
    found = {}
    for count in (few, many, few, many):
        mib, inserts = peak_mib(count)
        print(f"{count} places, {inserts} inserts: {mib:.1f} MiB")
        found.setdefault(count, []).append((mib, inserts))
    more = found[many][0][1] - found[few][0][1]
    check(more == many - few, f"{more} more inserts")
    grown = min(m for m, _ in found[many]) - max(m for m, _ in found[few])
    print(f"{grown:.1f} MiB more for {more} more inserts")
    # Each worker makes its share of them; a drawing or a mesh kept would be a megabyte each.
    check(grown < 8, "memory grows with the inserts")


{"leaks": leaks, "growth": growth}[sys.argv[1]](*map(int, sys.argv[2:]))
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

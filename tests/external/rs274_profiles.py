"""The rs274 programs of every spec in profiles/, both clampings, run through the open rs274 interpreter (linuxcnc-uspace) with exit code
0, and its canonical moves, swept with numpy (lathe_sweep.py), cut the volume that is drawn within 0.02 cc and the finished outside
diameters within 0.005 mm. Specs of another dialect are turned on a lathe file of this one. Trials in the air run too.

The program under test is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import lathe_sweep
import rs274_run


def table(setup):
    tools = lathe_sweep.tools_of(setup)
    path = pathlib.Path("tools.tbl")
    path.write_text("".join(f"T{n} P{n} X0 Z0 D{2 * t['nose_mm'] / 25.4:.5f} Q{t['orientation']}\n" for n, t in tools.items()))
    return path


def judge(spec):
    j, complaint = lathe_sweep.design(spec, spec.stem, "--in-the-air", "--measure-stops")
    if j and j["turning"]["dialect"] != "rs274":
        j, complaint = lathe_sweep.design(spec, spec.stem, "--in-the-air", "--measure-stops", "--lathe",
                                          lathe_sweep.PROFILES / "lathes" / "bench-rear-mm.toml")
    if not j:
        return False, complaint
    moves_of = []
    for setup in j["turning"]["setups"]:
        program = pathlib.Path(spec.stem) / setup["program"]
        for text in (program, program.with_name(program.stem + "-in-the-air.ngc")):
            code, calls, complaint = rs274_run.run(text, table(setup))
            if code or "G96" in complaint:
                return False, f"{text}: exit {code} {complaint.strip()[:200]}"
            moves = [m for m in rs274_run.moves(calls) if m["tool"]]
            if text == program:
                moves_of.append(moves)
            elif min(m["end"][0] for m in moves) < setup["clamping"]["in_front_of_zero_mm"]:
                return False, f"{text}: not in the air"
    return lathe_sweep.judge(spec, j, moves_of)


failed = 0
for one in lathe_sweep.specs():
    good, text = judge(one)
    failed += not good
    print(f"{'ok  ' if good else 'FAIL'} {one.name}: {text}")
sys.exit(1 if failed else 0)

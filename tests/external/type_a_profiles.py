"""The type-A programs of every spec in profiles/: no interpreter for them runs here, so a small reader of its own checks every word
against the table below, and its moves, swept with numpy (lathe_sweep.py), cut the volume that is drawn within 0.02 cc and the
finished outside diameters within 0.005 mm.

The words: common practice for turning centres with G-code system A, no source; G90, G92, G94 are cycles there, G98 and G95 something else.
The program under test is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
import pathlib
import re
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import lathe_sweep

WORD = re.compile(r"([A-Z])(-?\d*\.?\d*)")
MOTION, OTHER = {0, 1, 2, 3, 32}, {20, 21, 40, 41, 42, 50, 54, 80, 96, 97, 99}


class Wrong(Exception):
    pass


def words(line):
    out = WORD.findall(line.replace(" ", ""))
    if "".join(a + b for a, b in out) != line.replace(" ", "") or any(not b for _, b in out):
        raise Wrong("not words")
    for letter, number in out:
        if letter in "XZIKF" and "." not in number:
            raise Wrong("a number without a point")
        if letter in "GMTSO" and "." in number:
            raise Wrong("a code with a point")
    letters = [a for a, _ in out if a not in "GM"]
    if len(set(letters)) != len(letters):
        raise Wrong("a letter twice")
    return out


def read(text, swap):
    """Moves as rs274_run.moves gives them. swap: G2 and G3 are said as seen from above a front toolpost."""
    lines = text.splitlines()
    if lines[0] != "%" or lines[-1] != "%" or lines[-2] != "M30" or not re.fullmatch(r"O\d{4}", lines[1]):
        raise Wrong("wrap")
    state = {"unit": None, "feed": 0, "mode": None, "clamp": 0, "spindle": 0, "rev": False, "tool": 0, "coolant": False, "g40": False, "g54": False}
    at, moves = None, []
    for number, line in enumerate(lines[2:-1], 3):
        try:
            if line.startswith("("):
                if line.count("(") != 1 or not line.endswith(")"):
                    raise Wrong("comment")
                continue
            w = words(line)
            g = [int(n) for a, n in w if a == "G"]
            m = [int(n) for a, n in w if a == "M"]
            v = {a: float(n) for a, n in w if a not in "GM"}
            if [x for x in g if x not in MOTION | OTHER]:
                raise Wrong(f"G words {g}")
            motion = [x for x in g if x in MOTION]
            if len(motion) > 1:
                raise Wrong("two motions")
            if "T" in v:
                if not re.fullmatch(r"T\d{4}", line) or line[1:3] != line[3:5]:
                    raise Wrong("tool call")
                if state["spindle"]:
                    raise Wrong("tool call with the spindle turning")
                state["tool"], state["feed"], state["rev"] = int(line[1:3]), 0, False
            for x in g:
                if x in (20, 21):
                    state["unit"] = 25.4 if x == 20 else 1.0
                elif x == 40:
                    state["g40"] = True
                elif x == 54:
                    state["g54"] = True
                elif x == 50:
                    if set(v) != {"S"} or len(g) != 1:
                        raise Wrong("G50 with more than S")
                    state["clamp"] = v["S"]
                elif x == 96:
                    if not state["clamp"]:
                        raise Wrong("constant speed without a clamp")
                    state["mode"] = 96
                elif x == 97:
                    state["mode"], state["clamp"] = 97, 0
                elif x == 99:
                    state["rev"] = True
            for x in m:
                if x in (3, 4):
                    if state["spindle"]:
                        raise Wrong("spindle turned round without a stop")
                    state["spindle"] = x
                elif x == 5:
                    state["spindle"] = 0
                elif x in (8, 9):
                    state["coolant"] = x == 8
                elif x == 0 and state["spindle"]:
                    raise Wrong("a stop to measure with the spindle turning")
                elif x not in (0, 30):
                    raise Wrong(f"M{x}")
            if not motion:
                if "X" in v or "Z" in v:
                    raise Wrong("coordinates without a motion word")
                continue
            if not (state["unit"] and state["g40"] and state["g54"]):
                raise Wrong("a motion before the safe start")
            kind, k = motion[0], state["unit"]
            if kind == 32:
                if "F" not in v:
                    raise Wrong("a thread without its lead")
                state["feed"] = 0
            elif "F" in v:
                state["feed"] = v["F"]
            if kind in (1, 2, 3) and not (state["feed"] > 0 and state["rev"] and state["spindle"] and state["tool"]):
                raise Wrong("a cut without feed, G99, spindle or tool")
            if kind == 32 and not (state["mode"] == 97 and state["spindle"]):
                raise Wrong("a thread under constant speed or with a still spindle")
            if kind in (2, 3) and not {"X", "Z", "I", "K"} <= set(v):
                raise Wrong("an arc without X, Z, I and K")
            end = (v["Z"] * k if "Z" in v else at and at[0], v["X"] / 2 * k if "X" in v else at and at[1])
            if kind in (2, 3):
                turn = (1 if kind == 3 else -1) * (-1 if swap else 1)
                centre = (at[0] + v["K"] * k, at[1] + v["I"] * k)
                r0, r1 = (((p[0] - centre[0]) ** 2 + (p[1] - centre[1]) ** 2) ** 0.5 for p in (at, end))
                if abs(r0 - r1) > 0.002 + 0.003 * (k > 1):
                    raise Wrong(f"an arc whose radii differ by {abs(r0 - r1):.4f} mm")
                moves.append({"tool": state["tool"], "rapid": False, "start": at, "end": end, "centre": centre, "turn": turn})
            elif at is not None and None not in at and state["tool"]:
                moves.append({"tool": state["tool"], "rapid": kind == 0, "start": at, "end": end, "turn": 0})
            at = end if end[0] is not None and end[1] is not None else (end[0], end[1]) if at is None else end
        except Wrong as wrong:
            raise Wrong(f"line {number}: {line}: {wrong}") from None
    if state["spindle"] or state["coolant"] or state["mode"] != 97:
        raise Wrong("the end leaves spindle, coolant or constant speed on")
    return moves


def judge(spec, lathe):
    j, complaint = lathe_sweep.design(spec, spec.stem, "--measure-stops", "--lathe", lathe_sweep.PROFILES / "lathes" / lathe)
    if not j:
        return False, complaint
    swap = j["turning"]["arcs"] == "from above" and j["turning"]["toolpost"] == "front"
    try:
        texts = [(pathlib.Path(spec.stem) / s["program"]).read_text() for s in j["turning"]["setups"]]
        good, text = lathe_sweep.judge(spec, j, [read(t, swap) for t in texts])
    except Wrong as wrong:
        return False, str(wrong)
    # Spoilt on purpose each way, the programs must be told apart: the check can fail.
    spoilt = [texts[0].replace("G99", "G98"), re.sub(r"\nG50 S\d+", "", texts[0]), re.sub(r"\nG40 G80", r"\nG40 G80 G90", texts[0]),
              texts[0].replace("\nT0", "\nT10")]
    for t in spoilt:
        try:
            read(t, swap)
            return False, "a spoilt program was not noticed"
        except Wrong:
            pass
    if spec.stem != "demo":
        return good, text
    side = 0 if j["turning"]["setups"][0]["side"] == "chamber side" else 1
    turned = [read(t, swap != (i == side)) for i, t in enumerate(texts)]
    if abs(lathe_sweep.chamber_cc(j, turned) - j["volumes_cc"]["profile"]) <= lathe_sweep.LIMIT_CC:
        return False, "arcs turned round were not noticed"
    return good, text


failed = 0
for one in lathe_sweep.specs():
    for file in ("turret-type-a-mm.toml", "front-type-a-inch.toml"):
        ok, said = judge(one, file)
        failed += not ok
        print(f"{'ok  ' if ok else 'FAIL'} {one.name} on {file}: {said}")
sys.exit(1 if failed else 0)

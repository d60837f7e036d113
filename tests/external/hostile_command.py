#!/usr/bin/python3
"""Specs from somebody who means no good: whatever they say, nothing is written beside the output folder, nothing is run or
waited on, and what is refused is refused in words a terminal can be given."""
import json
import os
import pathlib
import random
import re
import subprocess
import sys

PROGRAM = os.environ["CHAMBER_PROGRAM"]
SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
HERE = pathlib.Path.cwd()
PLAIN = (SOURCE / "profiles/flat-roof.toml").read_text()
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def standing(below):
    """Everything there is, with its kind, size and time."""
    found = {}
    for folder, folders, files in os.walk(below):
        for name in folders + files:
            path = pathlib.Path(folder) / name
            s = path.lstat()
            found[str(path)] = (s.st_mode, s.st_size if path.is_symlink() or path.is_file() else 0, s.st_mtime_ns if name in files else 0)
    return found


def run(folder, spec, *more, subcommand="design", limit=60):
    """In a folder of its own, with something precious above it and the lathe files beside the spec."""
    work = folder / "above" / "work"
    work.mkdir(parents=True)
    (folder / "above" / "precious.txt").write_text("keep me\n")
    (work / "lathes").symlink_to(SOURCE / "profiles/lathes")
    (work / "spec.toml").write_bytes(spec if isinstance(spec, bytes) else spec.encode())
    before = standing(folder)
    command = [PROGRAM, subcommand, "spec.toml", "-o", "out", *more]
    try:
        r = subprocess.run(command, cwd=work, capture_output=True, timeout=limit, stdin=subprocess.DEVNULL,
                           env={**os.environ, "SOURCE_DATE_EPOCH": "0"})
    except subprocess.TimeoutExpired:
        r = subprocess.CompletedProcess(command, None, b"", f"no end within {limit} s".encode())
    after = standing(folder)
    out = str(work / "out")
    beside = {p for p in before.keys() | after.keys() if before.get(p) != after.get(p) and p != out and not p.startswith(out + "/")}
    return r, beside, work / "out"


def words(data):
    text = data.decode()  # UTF-8, or it raises
    check(not re.search(r"[\x00-\x09\x0b-\x1f\x7f\x80-\x9f]", text), f"control characters: {text[:200]!r}")
    return text


def changed(key, toml):
    text, n = re.subn(rf'(?m)^{key} = .*$', lambda _: f"{key} = {toml}", PLAIN, count=1)
    assert n == 1, key
    return text


def names():
    """Names a file might be called by."""
    taken = refused = 0
    for i, name in enumerate([r'"../../x"', r'"/etc/passwd"', r'"/tmp/x"', r'".."', r'"."', r'"..\\..\\x"', r'"a/b/c"', r'"-rf"', r'"~/x"',
                              r'"$(touch pwned)"', r'"`touch pwned`; touch pwned"', r'"x\u0000y"', r'"x\ny"', r'"\u001b[31mred"', r'"\u009b31m"',
                              '"' + "x" * 300 + '"', '"' + "../" * 13 + '"', r'"con"', r'"x.toml"', r'"%s%n"', r'""', "'''\nx'''", r'"(x) M30"', r'"<script>"']):
        r, beside, out = run(HERE / f"names-{i}", changed("name", name), "--only", "json,program")
        check(not beside, f"{name}: written beside the folder: {beside}")
        err = words(r.stderr)
        if r.returncode == 0:
            taken += 1
            check(all(re.fullmatch(r"[a-z0-9-]+(\.[a-z]+)?", p.name) for p in out.iterdir()), f"{name}: {list(out.iterdir())}")
            check(all(p.is_file() and not p.is_symlink() for p in out.iterdir()), f"{name}: plain files")
            for p in out.glob("*.nc"):
                # A comment that ends early would be words the control obeys.
                check(all(re.fullmatch(r"%|[^()]*|\([^()]*\)", l) for l in p.read_text().splitlines()), f"{name}: comments in the program")
                check(p.read_text().count("M30\n") == 1, f"{name}: one end of the program")
        else:
            refused += 1
            check(r.returncode == 3 and "job.name" in err and "Cure:" in err and not out.exists(), f"{name}: {r.returncode} {err}")
    check(taken >= 10 and refused >= 5, f"some are names, some are not: {taken}, {refused}")


def others():
    """Revision, customer, note, material and the lathe file."""
    for i, (key, value) in enumerate([("customer", r'"../../x\u001b]0;x\u0007"'), ("material", r'"aluminium ../../x (M30)"'), ("customer", r'"</script><script>x"'),
                                      ("material", r'"aluminium\nM30"'), ("customer", '"' + "\u202e" * 30 + '"')]):
        r, beside, out = run(HERE / f"others-{i}", changed(key, value), "--only", "json,program")
        check(not beside, f"{key} = {value}: {beside}")
        err = words(r.stderr)
        check(r.returncode in (0, 3), f"{key} = {value}: {r.returncode} {err}")
        for p in out.glob("*.nc") if r.returncode == 0 else []:
            check(p.read_text().count("M30\n") == 1, f"{key} = {value}: one end of the program")
    # A lathe file is read, never waited on, never written; what it holds is not shown.
    fifo = HERE / "fifo"
    os.mkfifo(fifo)
    for i, file in enumerate(["/dev/zero", "/dev/stdin", "/dev/tty", str(fifo), "/etc/shadow", "..", "lathes", "\\u0000", "lathes/../../precious.txt", "x" * 150]):
        r, beside, out = run(HERE / f"lathes-{i}", changed("file", f'"{file}"'), "--only", "json")
        check(not beside and not out.exists(), f"lathe {file}: {beside}")
        err = words(r.stderr)
        check(r.returncode == 3 and "Cure:" in err and "keep me" not in err and "root:" not in err, f"lathe {file}: {r.returncode} {err[:300]}")


def links():
    """What stands in the folder already: links lead nowhere, a folder in a file's place loses nothing."""
    r, beside, out = run(HERE / "links-0", PLAIN, "--only", "json,program")
    check(r.returncode == 0, "the plain one")
    files = sorted(p.name for p in out.iterdir())
    check(len(files) == 3, f"{files}")
    folder = HERE / "links-1"
    work = folder / "above" / "work"
    (work / "out").mkdir(parents=True)
    (folder / "above" / "aim.txt").write_text("keep me too\n")
    for f in files:
        (work / "out" / f).symlink_to("../../aim.txt")
    (work / "lathes").symlink_to(SOURCE / "profiles/lathes")
    (work / "spec.toml").write_text(PLAIN)
    r = subprocess.run([PROGRAM, "design", "spec.toml", "-o", "out", "--only", "json,program"], cwd=work, capture_output=True, timeout=60)
    check(r.returncode == 0 and (folder / "above" / "aim.txt").read_text() == "keep me too\n", f"a link's aim is left alone: {r.stderr}")
    check(all((work / "out" / f).is_file() and not (work / "out" / f).is_symlink() for f in files), "the files stand in the links' place")
    # A folder stands where a file should: nothing of the set is put in place.
    (work / "out" / files[0]).unlink()
    (work / "out" / files[0]).mkdir()
    (work / "out" / files[0] / "mine").write_text("x")
    was = (work / "out" / files[1]).stat().st_mtime_ns
    r = subprocess.run([PROGRAM, "design", "spec.toml", "-o", "out", "--only", "json,program"], cwd=work, capture_output=True, timeout=60)
    check(r.returncode == 6 and b"Cure:" in r.stderr and (work / "out" / files[1]).stat().st_mtime_ns == was, f"all or none: {r.stderr}")
    check((work / "out" / files[0] / "mine").exists() and not list((work / "out").glob(".chamber-*")), "nothing lost, nothing left")


def sizes():
    """Files of a megabyte: quick, and few words."""
    for i, (what, spec) in enumerate([("deep", "[" + ".".join("a" * 500_000) + "]"), ("lists", "a = " + "[" * 900_000),
                                      ("wide", "[" + "a" * 500_000 + "]\n" + "".join(f'k{i}=""\n' for i in range(40_000))),
                                      ("unknown", "".join(f"k{i} = 1\n" for i in range(80_000))), ("text", 'x = "' + "\\u001b[31m" * 90_000 + '"'),
                                      ("bytes", bytes(range(256)) * 4000), ("nothing", b""), ("nul", b"\0" * 1000), ("huge", b"#" * 3_000_000)]):
        for subcommand in ("design", "target"):
            more = ["--only", "json"] if subcommand == "design" else []
            r, beside, out = run(HERE / f"sizes-{i}-{subcommand}", spec, *more, subcommand=subcommand, limit=15)
            check(r.returncode in (3, 6) and not beside and not out.exists(), f"{what}: {r.returncode} {beside}")
            check("Cure:" in words(r.stderr) and len(r.stderr) < 600_000, f"{what}: {len(r.stderr)} bytes of words")
    # A drawing of a chamber 660 km wide: its figures are not sampled by the millimetre.
    tags = lambda *pairs: "".join(f"{code:3d}\n{value}\n" for code, value in pairs)
    corners = [("33e4", 0), ("24e4", "1e4"), ("10e4", "14e4"), (0, "15e4")]
    drawing = HERE / "wide.dxf"
    drawing.write_text(tags((0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, 6), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"), (0, "LWPOLYLINE"),
                            (8, 0), (70, 0), *[t for x, y in corners for t in ((10, x), (20, y))], (0, "ENDSEC"), (0, "EOF")))
    try:
        r = subprocess.run([PROGRAM, "check", drawing, "--engine", SOURCE / "profiles/demo.toml", "--picture", HERE / "wide.svg"], capture_output=True, timeout=15)
        check(r.returncode == 3 and b"nobody turns that" in r.stderr and not (HERE / "wide.svg").exists(), f"a wide chamber: {r.stderr}")
    except subprocess.TimeoutExpired:
        check(False, "a wide chamber takes for ever")
    r, _, _ = run(HERE / "sizes-json", "[" + "a" * 500_000 + "]\n" + 'b="\\u001b"\n' * 3, "--json", "--only", "json")
    check(json.loads(r.stdout)["problems"], "JSON of it all the same")


def step():
    """STEP files changed at random: the CAD kernel may crash on them, which costs a message."""
    seed = int(os.environ.get("STEP_SEED", "20"))
    print("STEP_SEED =", seed)
    chance = random.Random(seed)
    plain = (SOURCE / "out-examples/demo/sand-drag-250-cavity.step").read_bytes()
    data = plain.index(b"DATA;")
    read = refused = crashed = 0
    for i in range(int(os.environ.get("STEP_FILES", "40"))):
        text = bytearray(plain)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(data, len(text) - 40)
            kind = chance.randrange(5)
            if kind == 0:  # another number or reference
                numbers = list(re.finditer(rb"#?-?\d+\.?\d*", bytes(text[at:at + 400])))
                if numbers:
                    m = chance.choice(numbers)
                    new = chance.choice([b"0.", b"-1.", b"1.E300", b"#1", b"#99999", b"$", b"*", b"#%d" % chance.randint(1, 400), b"1.E-300", b"NAN"])
                    text[at + m.start():at + m.end()] = new
            elif kind == 1:
                del text[at:at + chance.randint(1, 60)]
            elif kind == 2:
                text[at] = chance.randrange(256)
            elif kind == 3:  # one entity in place of another
                lines = bytes(text[data:]).split(b"\n")
                a, b = chance.randrange(1, len(lines) - 4), chance.randrange(1, len(lines) - 4)
                if b"=" in lines[a] and b"=" in lines[b]:
                    lines[a] = lines[a].split(b"=")[0] + b"=" + lines[b].split(b"=", 1)[1]
                text[data:] = b"\n".join(lines)
            else:
                text[at:at] = bytes(text[at:at + chance.randint(1, 200)])
        file = HERE / "changed.step"
        file.write_bytes(text)
        try:
            r = subprocess.run([PROGRAM, "check", str(file)], capture_output=True, timeout=90)
        except subprocess.TimeoutExpired:
            (HERE / f"slow-{i}.step").write_bytes(text)
            check(False, f"file {i} hangs: slow-{i}.step")
            continue
        err = words(r.stderr)
        read += r.returncode == 0
        refused += r.returncode == 3
        crashed += "crashed" in err
        if r.returncode not in (0, 3) or (r.returncode == 3 and "Cure:" not in err):
            (HERE / f"bad-{i}.step").write_bytes(text)
            check(False, f"file {i}, bad-{i}.step: {r.returncode} {err[:300]}")
    print(read, "read,", refused, "refused, on", crashed, "of which the kernel crashed")
    check(read >= 3 and refused >= 10 and crashed >= 3, f"some are read, some are not, and some crash the kernel: {read}, {refused}, {crashed}")


{"names": names, "others": others, "links": links, "sizes": sizes, "step": step}[sys.argv[1]]()
sys.exit(1 if failures else 0)

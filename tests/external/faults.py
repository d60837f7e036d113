#!/usr/bin/python3
"""What goes wrong round the program, with real processes: killed, told to end, disk full, folders and files that may not
be written to, two runs at once, streams that are closed or full, odd locales and paths. Whatever happens, a folder holds
the old files or the new ones, each whole, and nothing else is left behind.

Argument: a part (see the end), then for kill and signals how often. The seed is printed; CHAMBER_SEED sets it. The
program is in $CHAMBER_PROGRAM, the sources in $CHAMBER_SOURCE.
"""
import hashlib
import json
import os
import pathlib
import pty
import random
import resource
import shutil
import signal
import subprocess
import sys
import time

PROGRAM = os.environ["CHAMBER_PROGRAM"]
PROFILES = pathlib.Path(os.environ["CHAMBER_SOURCE"]) / "profiles"
HERE = pathlib.Path.cwd()
ENVIRONMENT = {**os.environ, "SOURCE_DATE_EPOCH": "1767225600"}
SEED = int(os.environ.get("CHAMBER_SEED", "0")) or random.randrange(1, 10**6)
dice = random.Random(SEED)
failures = []
QUICK = ["--only", "program,json,step"]


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)
    return ok


def run(*arguments, env=None, **more):
    more.setdefault("stdout", subprocess.PIPE)
    return subprocess.run([PROGRAM, *arguments], stderr=subprocess.PIPE, env={**ENVIRONMENT, **(env or {})}, **more)


def state(folder):
    """Every file by name: what it holds. Hidden ones are listed under their own name."""
    found = {}
    for path in folder.iterdir():
        found[path.name] = hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "a folder"
    return found


def hidden(folder):
    return [p.name for p in folder.iterdir() if p.name.startswith(".")] if folder.exists() else []


def changed(name, old, new, source="sites.toml"):
    text = (PROFILES / source).read_text()
    check(text.count(old) == 1, f"{source} holds {old!r} once")
    shutil.copytree(PROFILES / "lathes", HERE / "lathes", dirs_exist_ok=True)
    (HERE / name).write_text(text.replace(old, new))
    return str(HERE / name)


class Sets:
    """Two sets of the same names whose every file differs, and how long the second takes."""

    def __init__(self):
        self.specs = [changed("old.toml", 'revision = "A"', 'revision = "OLD"'),
                      changed("new.toml", 'revision = "A"', 'revision = "NEW"')]
        self.states = []
        for spec, name in zip(self.specs, ("old", "new")):
            began = time.monotonic()
            r = run("set", spec, "-o", HERE / "out", *QUICK)
            self.seconds = time.monotonic() - began
            check(r.returncode == 0, f"set: {r.stderr.decode()}")
            (HERE / "out").rename(HERE / name)  # the files name the folder they were written into
            self.states.append(state(HERE / name))
        self.old, self.new = self.states
        check(self.old.keys() == self.new.keys() and len(self.old) >= 10, "both sets have the same names")
        same = [n for n in self.old if self.old[n] == self.new[n]]
        check(not same, f"old and new differ in every file: {same}")

    def fresh(self):
        out = HERE / "out"
        shutil.rmtree(out, ignore_errors=True)
        shutil.copytree(HERE / "old", out)
        return out

    def start(self, out, *through):
        return subprocess.Popen([*through, PROGRAM, "set", self.specs[1], "-o", out, *QUICK], stdout=subprocess.DEVNULL,
                                stderr=subprocess.PIPE, env=ENVIRONMENT, start_new_session=True)

    def judge(self, out, what):
        """old, new or mixed; anything else is a failure."""
        now = {n: h for n, h in state(out).items() if not n.startswith(".")}
        check(now.keys() == self.old.keys(), f"{what}: the same names: {sorted(now)}")
        torn = [n for n in now if now[n] not in (self.old.get(n), self.new.get(n))]
        check(not torn, f"{what}: not whole: {torn}")
        return "old" if now == self.old else "new" if now == self.new else "mixed"


def all_gone(group):
    for _ in range(200):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


def wait_for_commit(process, out):
    """Until the files are on their way."""
    while process.poll() is None:
        if any((out / h / "old").exists() for h in hidden(out)):
            return


def placing_calls(sets):
    """What the main process asks of the system about files, and how often: it is killed at any one of these."""
    traced = ["rename", "link", "fsync", "mkdir", "unlinkat", "flock"]
    out = sets.fresh()
    subprocess.run(["strace", "-q", "-o", HERE / "trace", "-e", "trace=" + ",".join(traced), PROGRAM, "set", sets.specs[1],
                    "-o", out, *QUICK], check=True, stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    lines = (HERE / "trace").read_text().splitlines()
    counts = {c: sum(line.startswith(c + "(") for line in lines) for c in traced}
    check(counts["rename"] >= len(sets.new) and counts["fsync"] > counts["rename"], f"what was traced: {counts}")
    return [(c, n + 1) for c in traced for n in range(counts[c])]


def kill(times):
    sets = Sets()
    calls = placing_calls(sets)
    seen = {"old": 0, "new": 0, "mixed": 0}
    cut = left = 0
    for i in range(times):
        out = sets.fresh()
        if i % 2:
            call, nth = dice.choice(calls)
            process = sets.start(out, "strace", "-q", "-o", "/dev/null", "-e", f"trace={call}", "-e",
                                 f"inject={call}:signal=SIGKILL:when={nth}")
        else:
            process = sets.start(out)
            time.sleep(dice.uniform(0, sets.seconds))
            process.kill()
        process.communicate()
        cut += process.returncode in (-signal.SIGKILL, 128 + signal.SIGKILL)
        check(all_gone(process.pid), "the workers of a killed run end too")
        seen[sets.judge(out, f"killed, run {i}")] += 1
        left += bool(hidden(out))
        # The next run in the folder, whatever it does there, puts it right.
        r = run("target", sets.specs[0], "-o", out / "page.html")
        check(r.returncode == 0, f"the next run: {r.stderr.decode()}")
        (out / "page.html").unlink(missing_ok=True)
        check(sets.judge(out, f"after the next run, {i}") != "mixed", f"run {i}: old and new files stand side by side")
        check(not hidden(out), f"run {i}: left behind: {hidden(out)}")
    print(f"{times} kills, a set takes {sets.seconds:.2f} s; {cut} cut short, {left} left something; found {seen}")
    check(cut >= 0.6 * times, "most kills met a run that was still going")
    check(seen["old"] >= times / 8 and seen["mixed"] >= times / 20 and seen["new"] >= 1, "kills before, in and after the placing")


def signals(times):
    sets = Sets()
    ended = dict.fromkeys((signal.SIGINT, signal.SIGTERM, signal.SIGHUP), 0)
    for i in range(times):
        number = list(ended)[i % 3]
        out = sets.fresh()
        if i % 5 == 4:
            shutil.rmtree(out)  # it makes the folder, so it takes it away again
        process = sets.start(out)
        if i % 4 == 3:
            wait_for_commit(process, out)
        else:
            time.sleep(dice.uniform(0, sets.seconds * 1.1))
        if process.poll() is None:
            # Half of them as a terminal does: workers and all.
            (os.killpg if i % 2 else os.kill)(process.pid, number)
        _, words = process.communicate()
        what = f"{number.name}, run {i}"
        if check(process.returncode in (-number, 0), f"{what}: ended with {process.returncode}: {words.decode()}"):
            ended[number] += process.returncode != 0
        check(all_gone(process.pid), f"{what}: the workers end too")
        if i % 5 == 4 and process.returncode and not out.exists():
            continue
        check(not hidden(out), f"{what}: left behind: {hidden(out)}")
        now = sets.judge(out, what)
        check(now == "new" or (now == "old" and process.returncode), f"{what}: {now} files, code {process.returncode}")
    print(f"{times} signals, ended by them: {({k.name: v for k, v in ended.items()})}")
    check(all(n >= times / 12 for n in ended.values()), "each signal has ended some")
    shell = subprocess.run(["sh", "-c", '"$0" "$@" & sleep 0.2; kill -TERM $!; wait $!', PROGRAM, "set", sets.specs[1],
                            "-o", HERE / "shell"], stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    check(shell.returncode == 128 + signal.SIGTERM, f"a shell sees {shell.returncode}")
    out = sets.fresh()
    ignoring = subprocess.Popen([PROGRAM, "set", sets.specs[1], "-o", out, *QUICK], stdout=subprocess.DEVNULL,
                                env=ENVIRONMENT, preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN))
    time.sleep(0.3)
    ignoring.send_signal(signal.SIGHUP)
    check(ignoring.wait() == 0 and sets.judge(out, "nohup") == "new", "an ignored signal stays ignored")


def mounted(size):
    """A tmpfs of this many KiB in this process's own mount namespace."""
    place = HERE / "small"
    place.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}k", "tmpfs", place], check=True, capture_output=True)
    return place


def fill(place, spec, limit, say):
    """One design into a place with too little room: refused, the old files as they were."""
    out = place / "out"
    first = run("design", changed("first.toml", 'revision = "A"', 'revision = "OLD"', "demo.toml"), "-o", out, "--only",
                "program")
    if not check(first.returncode == 0, f"{say}: the old files: {first.stderr.decode()}"):
        return None
    before = state(out)
    limited = (lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))) if limit else None
    r = run("design", spec, "-o", out, preexec_fn=limited)
    words = r.stderr.decode()
    if r.returncode == 0:
        return 0
    check(r.returncode == 6, f"{say}: code {r.returncode}: {words}")
    check(("No space left" in words or "File too large" in words) and "Cure:" in words, f"{say}: {words}")
    check("Nothing was written." in words and r.stdout == b"", f"{say}: {words}")
    check(state(out) == before, f"{say}: the old files stand alone: {sorted(state(out))}")
    return 6


def full(inside=""):
    spec = str(PROFILES / "demo.toml")
    if inside:
        ends = []
        for size in (300, 400, 600, 900, 1400, 2200, 3400, 5200, 7000, 16000):
            place = mounted(size)
            ends.append(fill(place, spec, 0, f"a disk of {size} KiB"))
            subprocess.run(["umount", place], check=True)
        check(ends.count(6) >= 5 and ends[-1] == 0, f"disks too small and large enough: {ends}")
        return
    ends = []
    for limit in (20_000, 60_000, 150_000, 400_000, 100_000_000):
        place = HERE / f"limit-{limit}"
        ends.append(fill(place, spec, limit, f"files of at most {limit} bytes"))
    check(ends[:3] == [6, 6, 6] and ends[-1] == 0, f"files too small and large enough: {ends}")
    for way in (["unshare", "-m"], ["unshare", "-Urm"]):
        if subprocess.run([*way, "mount", "-t", "tmpfs", "tmpfs", "/mnt"], capture_output=True).returncode == 0:
            inner = subprocess.run([*way, sys.executable, __file__, "full", "inside"])
            check(inner.returncode == 0, "disks that are too small")
            return
    print("NO DISK COULD BE MOUNTED HERE: only files were kept from growing, which the program meets in the same places.")


def places():
    sets = Sets()
    # Root passes every mode: without its capabilities it does not.
    bare = ["setpriv", "--bounding-set=-all", "--inh-caps=-all"] if os.geteuid() == 0 else []

    def refused(out, words, what, command="set", spec=sets.specs[1]):
        r = subprocess.run([*bare, PROGRAM, command, spec, "-o", out, *QUICK], capture_output=True, env=ENVIRONMENT)
        said = r.stderr.decode()
        check(r.returncode == 6 and words in said and "Cure:" in said, f"{what}: code {r.returncode}: {said}")
        check(r.stdout == b"", f"{what}: nothing on standard output")

    out = sets.fresh()
    out.chmod(0o555)
    refused(out, "cannot be written to", "a folder that may not be written to")
    refused(out / "sub", "cannot be made", "a folder that cannot be made")
    out.chmod(0o755)
    check(sets.judge(out, "unwritable") == "old" and not hidden(out), "the old files stand")
    for name in (sorted(sets.old)[0], sorted(sets.old)[-1]):
        (out / name).chmod(0o444)
        refused(out, "write-protected", "a file that is write-protected")
        (out / name).chmod(0o644)
        check(sets.judge(out, "write-protected") == "old" and not hidden(out), "the old files stand")
    (out / sorted(sets.old)[-1]).unlink()
    (out / sorted(sets.old)[-1]).mkdir()
    refused(out, "a folder of that name", "a folder in a file's place")
    shutil.rmtree(out)
    out = sets.fresh()
    secret = HERE / "secret.toml"
    secret.write_text("x")
    secret.chmod(0)
    refused(out, "cannot be opened", "a spec that may not be read", spec=str(secret))
    # Another program's lock is waited for, and then it is said.
    out = sets.fresh()
    busy = subprocess.Popen(["flock", out, "sleep", "3"])
    time.sleep(0.5)
    r = run("target", sets.specs[0], "-o", out / "page.html")
    check(r.returncode == 0, f"a lock that goes: {r.stderr.decode()}")
    busy.wait()


def two():
    sets = Sets()
    last = set()
    for i in range(4):
        out = sets.fresh()
        both = [subprocess.Popen([PROGRAM, "set", spec, "-o", out, *QUICK], stdout=subprocess.DEVNULL,
                                 stderr=subprocess.PIPE, env=ENVIRONMENT) for spec in (sets.specs[::-1] if i % 2 else sets.specs)]
        for p in both:
            words = p.communicate()[1].decode()
            check(p.returncode == 0, f"two at once: {p.returncode}: {words}")
        now = sets.judge(out, "two at once")
        last.add(now)
        check(now != "mixed" and not hidden(out), f"two at once: {now}, {hidden(out)}")
    print("the last word had:", last)


def streams():
    sites, demo = str(PROFILES / "sites.toml"), str(PROFILES / "demo.toml")
    full = HERE / "full"
    check(run("design", demo, "-o", full).returncode == 0, "the reference")
    reference = state(full)
    shutil.rmtree(full)
    for arguments in (["target", sites], ["target", sites, "--json"], ["--help"], ["--version"], ["intake", "--blank"],
                      ["design", demo, "-o", str(full), "--json"], ["check", demo]):
        with open("/dev/full", "w") as device:
            r = run(*arguments, stdout=device)
        check(r.returncode == 6 and b"No space left" in r.stderr, f"/dev/full, {arguments}: {r.returncode}, {r.stderr}")
        r = subprocess.run(["sh", "-c", 'exec "$0" "$@" >&-', PROGRAM, *arguments], capture_output=True, env=ENVIRONMENT)
        check(r.returncode == 6 and b"standard output" in r.stderr, f"closed, {arguments}: {r.returncode}, {r.stderr}")
        ends = os.pipe()
        os.close(ends[0])
        r = run(*arguments, stdout=ends[1])
        os.close(ends[1])
        check(r.returncode == 6 and b"Broken pipe" in r.stderr, f"broken pipe, {arguments}: {r.returncode}, {r.stderr}")
    check(state(full) == reference, "with nobody listening, the files are the same")
    shutil.rmtree(full)
    r = subprocess.run(["sh", "-c", 'exec "$0" "$@" <&- >&- 2>&-', PROGRAM, "design", demo, "-o", full], env=ENVIRONMENT)
    check(r.returncode == 6 and state(full) == reference, f"all streams closed: {r.returncode}")
    r = subprocess.run(["sh", "-c", 'exec "$0" "$@" 2>&-', PROGRAM, "target", sites], capture_output=True, env=ENVIRONMENT)
    check(r.returncode == 0 and b"cc" in r.stdout, f"no standard error: {r.returncode}")
    r = subprocess.run(["sh", "-c", 'exec "$0" "$@" <&-', PROGRAM, "target", "-"], capture_output=True, env=ENVIRONMENT)
    check(r.returncode == 6 and b"cannot be read" in r.stderr, f"no standard input: {r.returncode}, {r.stderr}")
    r = subprocess.run(["sh", "-c", 'exec "$0" "$@" <&-', PROGRAM, "intake", "-o", "sheet.toml"], capture_output=True, env=ENVIRONMENT)
    check(r.returncode == 3 and b"Cure:" in r.stderr and not (HERE / "sheet.toml").exists(), f"intake, no input: {r.returncode}, {r.stderr}")
    r = subprocess.run(["bash", "-c", '"$0" "$@" | head -1; exit ${PIPESTATUS[0]}', PROGRAM, "target", sites], capture_output=True, env=ENVIRONMENT)
    check(r.returncode in (0, 6) and r.stdout.count(b"\n") == 1, f"head -1: {r.returncode}, {r.stdout}")
    # A terminal gets colours and progress, nobody else does.
    said = []
    def listen(fd):
        said.append(os.read(fd, 65536))
        return said[-1]
    code = os.waitstatus_to_exitcode(pty.spawn([PROGRAM, "target", sites], listen))
    check(code == 0 and b"\x1b" in b"".join(said), f"a terminal: {code}")
    check(b"\x1b" not in run("target", sites).stdout, "no colour without a terminal")


def locales():
    demo = str(PROFILES / "demo.toml")
    plain = run("design", demo, "-o", "out", env={"LC_ALL": "C"})
    before = state(HERE / "out")
    check(plain.returncode == 0 and len(before) >= 14, "plain")
    for language in ("de_DE", "ja_JP", "tr_TR"):
        name = f"{language}.UTF-8"
        subprocess.run(["localedef", "-i", language, "-f", "UTF-8", f"./{name}"], check=True)
        env = {"LC_ALL": name, "LANG": name, "LANGUAGE": language, "LOCPATH": str(HERE)}
        took = subprocess.run(["locale", "-k", "decimal_point"], capture_output=True, text=True, env={**os.environ, **env})
        check(("," in took.stdout) == (language != "ja_JP"), f"the locale {name} took: {took.stdout}{took.stderr}")
        r = run("design", demo, "-o", "out", env=env)
        check(r.returncode == 0 and r.stdout == plain.stdout, f"{name}: the same words: {r.stderr.decode()}")
        differ = [n for n, h in state(HERE / "out").items() if before.get(n) != h]
        check(not differ, f"{name}: other files: {differ}")


def paths():
    for name in (b"with blanks and 'quotes\"", "Gr\u00f6\u00dfe \u71c3\u713c\u5ba4".encode(), b"two\nlines", b"\xff\xfe no utf-8", b"-dash", b"deep/er/est"):
        folder = os.path.join(os.fsencode(HERE), b"p", name)
        os.makedirs(folder)
        spec = os.path.join(folder, b"a spec.toml")
        shutil.copy(PROFILES / "demo.toml", spec)
        r = run("design", spec, b"-o", os.path.join(folder, b"out"), b"--json")
        if not check(r.returncode == 0, f"{name}: {r.returncode}: {r.stderr}"):
            continue
        j = json.loads(r.stdout)
        made = os.listdir(os.path.join(folder, b"out"))
        check(len(made) == len(j["files"]) >= 14, f"{name}: {made}")
        with open(os.path.join(folder, b"out", b"sand-drag-250.json"), encoding="utf-8") as f:
            check(json.load(f)["status"] == "done", f"{name}: the JSON")
        broken = os.path.join(folder, b"broken.toml")
        with open(broken, "wb") as f:
            f.write(b'[engine]\nbore = "66"\n\xff')
        for command in (b"design", b"set", b"target", b"check"):
            r = run(command, broken, b"--json")
            check(r.returncode == 3 and json.loads(r.stdout)["status"] == "failed", f"{name}: {command}: {r.returncode}: {r.stderr}")


PARTS = {"kill": kill, "signals": signals, "full": full, "places": places, "two": two, "streams": streams,
         "locales": locales, "paths": paths}
part, rest = sys.argv[1], sys.argv[2:]
print("seed", SEED)
PARTS[part](*(int(a) if a.isdigit() else a for a in rest))
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

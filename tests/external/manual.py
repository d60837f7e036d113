#!/usr/bin/python3
"""What is written about the command line against the program's own help: README, man page, completions, versions.

Arguments: what to check (help, shells, page, versions), and the folder with man page and completions. The shells complete as
they do for a person: they are started, and their answers read.
"""
import json
import os
import pathlib
import pty
import re
import select
import subprocess
import sys
import time

PROGRAM = os.environ["CHAMBER_PROGRAM"]
SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
MANUAL = pathlib.Path(sys.argv[2])
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def output(*command, **more):
    r = subprocess.run([str(c) for c in command], capture_output=True, text=True, **more)
    check(r.returncode == 0, f"{command}: exit code {r.returncode}: {r.stderr}")
    return r.stdout


def from_help():
    """{command: {option: the words it takes}}; '' is the program itself."""
    top = output(PROGRAM, "--help")
    commands = re.findall(r"^  (\w+) ", top.split("Subcommands:")[1], re.M)
    check(len(commands) >= 6 and "design" in commands, f"commands {commands}")
    found = {}
    for command in ["", *commands]:
        text = output(PROGRAM, *([command] if command else []), "--help")
        found[command] = {}
        for short, name, rest in re.findall(r"^  (-\w,)?(--[\w-]+)(.*)$", text, re.M):
            words = re.search(r":\{([^}]*)\}", rest)
            for n in filter(None, (short.rstrip(","), name)):
                found[command][n] = words[1].split(",") if words else []
    check(len(found["design"]) > 15, "design has its options")
    check(found["check"]["--unit"] == ["in", "mm"], "words are read off the help")
    return found


def in_man(commands):
    """The same, off the page as it is shown."""
    shown = re.sub(r".\x08", "", output("mandoc", "-Tutf8", "-O", "width=200", MANUAL / "chamber.1"))
    shown = shown.replace("\u2010", "-").replace("\u2212", "-")
    found, command, option = {c: {} for c in commands}, None, None
    for line in shown.splitlines():
        if re.match(r"[A-Z]", line):
            command = "" if line == "OPTIONS" else None
        elif heading := re.match(r" {3}(\S+)$", line):
            command = heading[1]
        elif command is not None and (tag := re.match(r" {5,8}((?:-\w, )?--[\w-]+)", line)):
            option = tag[1].split(", ")
            for name in option:
                found.setdefault(command, {})[name] = ""
        if command is not None and option:
            for name in option:
                if name in found.get(command, {}):
                    found[command][name] += " " + line.strip()
    return found


def bash_offers(typed):
    script = 'source "$0"; COMP_WORDS=("$@"); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _chamber; printf "%s\\n" "${COMPREPLY[@]}"'
    return output("bash", "-c", script, MANUAL / "chamber.bash", *typed).split("\n")[:-1]


def fish_offers(typed):
    line = " ".join(t.replace(" ", "\\ ") for t in typed)
    text = output("fish", "--no-config", "-c", f"source {MANUAL}/chamber.fish; complete -C '{line}'", env={**os.environ, "HOME": os.getcwd()})
    return [offer.split("\t")[0] for offer in text.splitlines()]


def zsh_options(commands):
    """{command: {option: the words of its argument}} off the file itself."""
    text = (MANUAL / "_chamber").read_text()
    parts = {"": text.split("case $line")[0]}
    for command in commands:
        if command:
            parts[command] = text.split(f"\n{command})\n")[1].split(";;")[0]
    return {c: {n: rest for n, rest in re.findall(r"'(?:\([^)]*\)|\*)(--?[\w-]+?)[=+]?\[(.*)'", part)} for c, part in parts.items()}


def help_():
    commands = from_help()
    pages, zsh = in_man(commands), zsh_options(commands)
    check(set(pages) == set(commands), f"the man page's commands {sorted(pages)}")
    check(sorted(c for c in bash_offers(["chamber", ""]) if c[0] != "-") == sorted(c for c in commands if c), "bash: the commands")
    check(sorted(fish_offers(["chamber", ""])) == sorted(c for c in commands if c), "fish: the commands")
    described = re.findall(r"^    '(\w+):", (MANUAL / "_chamber").read_text().split("commands=(\n")[1].split("  )\n")[0], re.M)
    check(sorted(described) == sorted(c for c in commands if c), "zsh: the commands")
    for command, options in commands.items():
        before = ["chamber", command] if command else ["chamber"]
        for name, there in (("man page", pages.get(command, {})), ("zsh", zsh[command]),
                            ("bash", [o for o in bash_offers([*before, "-"]) if o[0] == "-"]),
                            ("fish", [o for o in fish_offers([*before, "-"]) if o[0] == "-"])):
            check(set(there) == set(options), f"{name}, {command}: differs by {sorted(set(there) ^ set(options))}")
        for option, words in options.items():
            if not words:
                continue
            check(sorted(bash_offers([*before, option, ""])) == sorted(words), f"bash: {command} {option}")
            check(sorted(fish_offers([*before, option, ""])) == sorted(words), f"fish: {command} {option}")
            for w in words:
                check(w in pages[command].get(option, ""), f"man page: {command} {option} {w}")
                check(w.replace(" ", "\\ ") in zsh[command].get(option, ""), f"zsh: {command} {option} {w}")
    readme(commands)


def readme(commands):
    """README names no option the program lacks; with a command before it, none that command lacks."""
    every = {o for options in commands.values() for o in options}
    named = 0
    for line in (SOURCE / "README.md").read_text().splitlines():
        if re.search(r"cmake|cpack|tools/|apt", line):
            continue
        found = set(re.findall(r"(?<![\w-])--[a-z][\w-]+", line))
        named += len(found)
        command = re.search(r"chamber (\w+)", line)
        known = commands[command[1]] if line.startswith("    build/chamber") else every
        check(found <= set(known), f"README: {sorted(found - set(known))} in: {line.strip()}")
    check(named > 40, f"README names options ({named})")
    table = set(re.findall(r"^\| `(--[\w-]+)", (SOURCE / "README.md").read_text(), re.M))
    check(table and table <= set(commands["design"]), f"README's table of design's options: {table - set(commands['design'])}")


class Terminal:
    """A shell at a terminal; what it shows after a key."""

    def __init__(self, argv, setup):
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.environ.update(TERM="dumb", PS1="", HOME=os.getcwd(), COLUMNS="200")
            os.execvp(argv[0], argv)
        self.shown = ""
        self.type(setup + "; echo RE''ADY\n", "READY")

    def type(self, text, wait, seconds=30):
        os.write(self.fd, text.encode())
        self.shown, end = "", time.time() + seconds
        while wait not in self.shown and time.time() < end:
            if select.select([self.fd], [], [], 0.2)[0]:
                self.shown += os.read(self.fd, 65536).decode(errors="replace")
        return wait in self.shown

    def close(self):
        os.close(self.fd)
        os.waitpid(self.pid, 0)


def shells():
    pathlib.Path("a spec.toml").touch()
    pathlib.Path("a note.txt").touch()
    for file, shell in (("chamber.bash", "bash"), ("_chamber", "zsh"), ("chamber.fish", "fish")):
        output(shell, "-n", MANUAL / file)
    check(bash_offers(["chamber", "design", "a"]) == ["a spec.toml"], "bash: only specs")
    check("a spec.toml" in fish_offers(["chamber", "design", "a"]), "fish: specs")
    check(bash_offers(["chamber", "design", "--only", "step,dr"]) == ["step,drawing"], "bash: a second kind")
    check("step,step" not in bash_offers(["chamber", "design", "--only", "step,"]), "bash: no kind twice")
    check(bash_offers(["chamber", "check", "x", "--unit", "=", "i"]) == ["in"], "bash: --unit=i")
    terminals = {
        "bash": (["bash", "--norc", "--noprofile", "-i"], f"source {MANUAL}/chamber.bash; bind 'set enable-bracketed-paste off'"),
        "zsh": (["zsh", "-f", "-i"], f"fpath=({MANUAL} $fpath); autoload -Uz compinit; compinit -u -D"),
    }
    for name, (argv, setup) in terminals.items():
        for typed, wait in (("chamber des", "ign"), ("chamber design --draw", "ing-units"), ("chamber design --projection th", "ird"),
                            ("chamber trim --filled pl", "ug\\ fitted"), ("chamber design a", "\\ spec.toml"),
                            ("chamber design --only json,tra", "veller")):
            t = Terminal(argv, setup)
            t.type(typed, typed)
            check(t.type("\t", wait, 10), f"{name}: {typed}<Tab> shows {t.shown!r}")
            t.close()


def page():
    source = MANUAL / "chamber.1"
    for command in (["mandoc", "-Tlint", source], ["groff", "-ww", "-man", "-Tutf8", "-z", source],
                    ["man", "--warnings", "-l", source]):
        r = subprocess.run(command, capture_output=True, text=True, env={**os.environ, "MANPAGER": "cat", "LC_ALL": "C.UTF-8"})
        said = r.stderr if command[0] != "mandoc" else r.stdout + r.stderr
        check(r.returncode == 0 and said == "", f"{command[0]}: {said}")
    text = source.read_text()
    for code in re.findall(r"^\| (\d) \|", (SOURCE / "README.md").read_text(), re.M):
        check(f".B {code}\n" in text.split(".SH EXIT STATUS")[1].split(".SH")[0], f"exit code {code}")
    for line in re.findall(r"^chamber (.*)$", text.split(".SH EXAMPLES")[1], re.M):
        command, *rest = line.replace("\\-", "-").split()
        options = from_help()[command]
        check({r for r in rest if r.startswith("-")} <= set(options), f"example: {line}")


def versions():
    """Against the versions Debian's packages have; three.js against the lock file it was bundled from."""
    lines = output(PROGRAM, "--version").splitlines()
    check(lines[0] == "chamber " + re.search(r"project\(chamber VERSION (\S+)", (SOURCE / "CMakeLists.txt").read_text())[1], f"first line {lines[0]}")
    said = dict(line.rsplit(" ", 1) for line in lines[1:])
    module = output("ldd", pathlib.Path(PROGRAM).parent / "libchamber_solid_kernel.so") + output("ldd", PROGRAM)

    def owner(library):
        path = os.path.realpath(re.search(rf"{library}\S* => (\S+)", module)[1])
        return output("dpkg", "-S", path).split(":")[0]

    packages = {"OpenCASCADE": owner("libTKernel"), "NLopt": owner("libnlopt"), "cairo": owner("libcairo"), "libpng": owner("libpng16"),
                "FreeType": owner("libfreetype"), "fmt": owner("libfmt"), "Eigen": "libeigen3-dev", "Boost": "libboost-dev",
                "toml++": "libtomlplusplus-dev", "nlohmann json": "nlohmann-json3-dev", "CLI11": "libcli11-dev"}
    for name, package in packages.items():
        theirs = re.match(r"(?:\d+:)?(\d+(?:\.\d+)*)", output("dpkg-query", "-W", "-f", "${Version}", package))[1]
        ours = said.get(name, "missing")
        check(theirs == ours or theirs.startswith(ours + "."), f"{name} {ours}, {package} is {theirs}")
    lock = json.loads((SOURCE / "tests/external/package-lock.json").read_text())
    check(said.get("three.js") == lock["packages"]["node_modules/three"]["version"], "three.js")
    check(set(said) == {*packages, "three.js"}, f"{sorted(said)}")


{"help": help_, "shells": shells, "page": page, "versions": versions}[sys.argv[1]]()
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

#!/usr/bin/python3
"""module_scope.py PROGRAM: a module that looks for names among its own libraries first (loading/module.cpp) would see a
library's own variable where the program has a copy of it; so it does that only where there are none. Ours has copied tables,
of which one is as good as the other, and no variable. Source: GNU binutils, asked live; the copies are relocations of type R_X86_64_COPY.
"""
import re
import subprocess
import sys

listed = subprocess.run(["readelf", "-rW", sys.argv[1]], capture_output=True, text=True, check=True).stdout
copied = [line.split()[4].split("@")[0] for line in listed.splitlines() if "_COPY" in line]
names = subprocess.run(["c++filt"], input="\n".join(copied), capture_output=True, text=True, check=True).stdout.splitlines()
bad = [n for n in names if not re.match(r"(vtable|VTT|typeinfo|typeinfo name) for ", n)]
print(f"{len(names)} copies")
if bad or "R_X86_64" not in listed:
    print("FAILED: copied into the program:", ", ".join(bad) or "nothing was listed")
    sys.exit(1)

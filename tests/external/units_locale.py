"""Numbers are read and printed alike under a locale with a decimal comma. Usage: units_locale.py DUMP_UNITS
The locale is compiled here by glibc's own localedef, so the check does not hang on what the machine has."""
import json
import os
import subprocess
import sys

dump = sys.argv[1]
subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", "./de_DE.UTF-8"], check=True)


def run(locale, *arguments):
    environment = {**os.environ, "LC_ALL": locale, "LOCPATH": os.getcwd()}
    done = subprocess.run([dump, *arguments], capture_output=True, text=True, check=True, env=environment)
    return json.loads(done.stdout)


german, plain = run("de_DE.UTF-8"), run("C")
if (german["probe"], plain["probe"]) != ("1,5", "1.5"):
    sys.exit(f"the locale did not take: {german['probe']}, {plain['probe']}")
if german["units"] != plain["units"]:
    sys.exit("the table of units differs under de_DE")
texts = ["66.4 mm", "66,4 mm", "1 1/2 in", "1.234,5 mm"]
values = run("de_DE.UTF-8", "length", *texts)["values"]
if values != run("C", "length", *texts)["values"] or values[0] != 66.4 or values[1] is not None or values[3] is not None:
    sys.exit(f"read under de_DE: {dict(zip(texts, values))}")
print("alike under C and de_DE")

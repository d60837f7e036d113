"""Every unit the program reads, against GNU units run live. Usage: units_factors.py DUMP_UNITS"""
import json
import subprocess
import sys

dump = sys.argv[1]

INTERNAL = {"length": "mm", "volume": "cc", "angle": "degree", "pressure": "kPa", "rotation": "rpm", "velocity": "m/s",
            "cutting_speed": "m/min", "feed": "mm/rev", "mass": "g", "ratio": "1"}
# How GNU units spells what we spell otherwise.
SPELLING = {"cm3": "cm^3", "mm3": "mm^3", "in3": "in^3", "deg": "degree", "rad": "radian", "sfm": "ft/min",
            "%": "percent", "": "1", ":1": "1", "to 1": "1"}
# GNU units derives mercury columns from 13.5951 g/cm3; NIST SP 811, which the program quotes, prints seven figures.
ROUNDED = {"inHg": 2e-7, "mmHg": 2e-7}
EXACT = 1e-14


def gnu(have, want):
    run = subprocess.run(["units", "-t", "-o", "%.17g", have, want], capture_output=True, text=True, check=False)
    if run.returncode != 0:
        sys.exit(f"units {have!r} {want!r}: {run.stdout}{run.stderr}")
    return float(run.stdout)


def expected(row, number):
    if row["dimension"] == "temperature":
        return gnu(f"temp{row['symbol']}({number})", "tempC")
    symbol = row["symbol"]
    return gnu(f"{number} {SPELLING.get(symbol, symbol)}", INTERNAL[row["dimension"]])


rows = json.loads(subprocess.run([dump], capture_output=True, text=True, check=True).stdout)["units"]
failures = 0
for row in rows:
    for number, key in ((1, "one"), (2, "two")):
        ours, theirs = row[key], expected(row, number)
        # A temperature is a difference of large numbers: absolute there.
        slack = 1e-12 if row["dimension"] == "temperature" else ROUNDED.get(row["symbol"], EXACT) * abs(theirs)
        if ours is None or not abs(ours - theirs) <= slack:
            failures += 1
            print(f"FAIL {number} {row['symbol']} ({row['dimension']}): ours {ours}, GNU units {theirs}")
dimensions = {row["dimension"] for row in rows}
print(f"{len(rows)} units of {len(dimensions)} dimensions compared, {failures} failures")
if len(rows) < 39 or dimensions != set(INTERNAL) | {"temperature"}:
    sys.exit("the table is smaller than when this check was written")
sys.exit(1 if failures else 0)

#!/usr/bin/python3
"""Target, set and intake as a builder runs them. Argument: target, set, intake or atmosphere."""
import json
import os
import pathlib
import pty
import re
import select
import signal
import subprocess
import sys

PROGRAM = os.environ["CHAMBER_PROGRAM"]
SOURCE = pathlib.Path(os.environ["CHAMBER_SOURCE"])
HERE = pathlib.Path.cwd()
LATHES = SOURCE / "profiles" / "lathes"
SITES = SOURCE / "profiles" / "sites.toml"
failures = []


def check(ok, what):
    if not ok:
        failures.append(what)
        print("FAILED:", what)


def run(*arguments, stdin=None):
    return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, input=stdin)


def changed(*pairs):
    text = SITES.read_text()
    for old, new in pairs:
        check(text.count(old) >= 1, f"the spec holds {old!r}")
        text = text.replace(old, new, 1)
    text = text.replace('"lathes/', f'"{LATHES}/')  # relative to the spec's own folder
    path = HERE / "changed.toml"
    path.write_text(text)
    return path


def target_json(spec, *more):
    r = run("target", spec, "--json", *more)
    check(r.returncode == 0, f"target: {r.stderr}")
    return json.loads(r.stdout)


def target():
    j = target_json(SITES)
    check(j["schema"] == "chamber.target" and len(j["sites"]) == 3, "schema and sites")
    for s in j["sites"]:
        for k in ("clearance_cc", "head_cc", "trapped_ratio", "full_ratio", "gauge_psi_model", "gauge_psi_fitted", "bound_by"):
            check(k in s, f"site has {k}")
        # By hand: the ratio is (trapped + clearance) / clearance.
        ratio = (j["trapped_swept_cc"] + s["clearance_cc"]) / s["clearance_cc"]
        check(abs(ratio - s["trapped_ratio"]) < 1e-5, "ratio from volumes")
        i = j["inputs"]
        budget = s["head_cc"] + i["gasket_cc"] + i["deck_cc"] - i["crown"]["volume_cc"]
        check(abs(budget - s["clearance_cc"]) < 1e-5, "clearance from its parts")
        check(s["head_cc"] >= max(s["asked_cc"].values()) - s["clearance_cc"] + s["head_cc"] - 1e-6, "the larger volume is the answer")
        u = s["uncertainty"]["head_cc"]
        check(u["standard_uncertainty"] > 0 and u["decided_by"], "every result has an uncertainty and who decides it")
    check(1.05 < j["fitted_n"] < 1.45 and j["fitted_m"] > 1, "fit")
    # The fit gives back both readings (two readings, two unknowns).
    check(all(abs(r["residual"]) < 1e-6 for r in j["readings"]), "the fit reproduces the readings")
    # Monte Carlo and first order agree where the model is nearly linear; the same seed gives the same figures.
    a, b = (target_json(SITES, "--trials", 50000, "--seed", 5) for _ in range(2))
    check(a["sites"] == b["sites"], "seeded")
    first = j["sites"][0]["uncertainty"]["gauge_psi"]["standard_uncertainty"]
    sampled = a["sites"][0]["uncertainty"]["gauge_psi"]["standard_uncertainty"]
    check(abs(first / sampled - 1) < 0.1, f"first order {first} against Monte Carlo {sampled}")
    # A customer's wish overrides, and he is told how far he stands from the guideline.
    plain = j
    # Every volume and ratio has its doubt; that of today's ratio by hand: d(CR) = V_ts / V_c^2 u(V_c) at the least.
    for s in plain["sites"]:
        check(all(s["uncertainty"][k]["standard_uncertainty"] > 0 for k in ("trapped_ratio_valve_open", "full_ratio", "gauge_psi_model")), "no figure without its doubt")
        check(s["head_change_uncertainty_cc"]["standard_uncertainty"] > 0, "nor the change")
    today = plain["inputs"]["today"]["head_cc"]["plug_fitted"] + plain["inputs"]["deck_cc"] - plain["inputs"]["crown"]["volume_cc"]
    least = plain["trapped_swept_cc"] / today ** 2 * plain["inputs"]["uncertainty"]["head_cc"]
    ratio = plain["today"]["trapped_ratio"]
    check(abs(ratio["value"] - (plain["trapped_swept_cc"] + today) / today) < 1e-5 and least < ratio["standard_uncertainty"] < 3 * least, f"today's ratio: {ratio}, burette alone {least}")
    coarse = target_json(changed(("[want]", '[uncertainty]\nhead_volume = "0.6 cc"\n\n[want]')))["today"]["trapped_ratio"]
    check(4 * least < coarse["standard_uncertainty"] < 5 * least, f"a burette four times as coarse: {coarse}, {least}")
    wish = target_json(changed(("[want]", '[want]\ngauge_pressure = "260 psi"')))
    check(abs(wish["sites"][0]["guideline"]["clearance_cc"] - plain["sites"][0]["clearance_cc"]) < 1e-6, "the guideline's own answer stays in sight")
    check(wish["sites"][0]["asked_cc"] == plain["sites"][0]["asked_cc"], "what the criteria ask does not move with the wish")
    check(wish["sites"][0]["bound_by"] == "wanted gauge pressure", "wish binds")
    check(abs(wish["sites"][0]["gauge_psi_fitted"] - 260) < 1e-3, "wish is met")
    check(wish["sites"][0]["gauge_psi_in_hand"] < 0, "over the window, and said")
    # A hose gauge believed to have no hose: the exponent cannot be, and what to re-measure is named.
    r = run("target", changed(('pressure = "214 psi"', 'pressure = "80 psi"'), ('pressure = "182 psi"', 'pressure = "68 psi"')))
    check(r.returncode == 3 and "re-measure" in r.stderr and "extra_volume" in r.stderr, f"implausible fit: {r.stderr}")
    # Contradictory readings are named with their residuals.
    r = run("target", changed(('altitude = "1150 m"', 'altitude = "180 m"')))
    check("contradicts" in r.stdout and "%" in r.stdout, "contradiction is named")
    # Readings that rise with altitude stop the job, in a design too: no metal is cut from them.
    spec = changed(('pressure = "182 psi"', 'pressure = "260 psi"'))
    for command in (["target", spec], ["design", spec, "-o", HERE / "none"], ["set", spec, "-o", HERE / "none"]):
        r = run(*command)
        check(r.returncode == 3 and "contradict" in r.stderr, f"{command[0]}: impossible altitude exponent: {r.stderr}")
    # Weighed water must say to where it was filled, too.
    r = run("target", changed(('head_volume = "22.6 cc"', 'water = "22.6 g"'), ('filled = "to the bottom of the plug hole"   #', '#')))
    check(r.returncode == 3 and "to where" in r.stderr, f"water without filled: {r.stderr}")
    # A head volume that was asked for is exact; the clearance carries the doubt.
    u = target_json(changed(("[want]", '[want]\nhead_volume = "21 cc"')))["sites"][0]["uncertainty"]
    check(u["head_cc"]["standard_uncertainty"] < 1e-9 < 0.05 < u["clearance_cc"]["standard_uncertainty"], "doubt sits on the clearance")
    # A gauge volume that leaves nothing is refused, not reported as a negative chamber.
    r = run("target", changed(('extra_volume = "1.2 cc"', 'extra_volume = "49 cc"'), ("[[reading]]", "[[site]]"), ('pressure = "182 psi"', ""),
                              ('pressure = "214 psi"', ""), ("[want]", '[want]\ngauge_pressure = "232 psi"')))
    check(r.returncode == 3, f"nothing left for the chamber: {r.returncode} {r.stdout[:300]}")
    # A sea-level figure given as station pressure is refused.
    r = run("target", changed(('sea_level_pressure = "1014 hPa"', 'station_pressure = "1014 hPa"')))
    check(r.returncode == 3 and "reduced" in r.stderr, f"reduced barometer: {r.stderr}")
    # A guideline of one's own.
    own = HERE / "own.toml"
    own.write_text('[[fuel]]\nname = "methanol"\ntrapped_ratio = "7"\ngauge_low = "100 psi"\ngauge_high = "400 psi"\n'
                   '[[use]]\nname = "short bursts"\nshift = "0 %"\n')
    j = target_json(SITES, "--guideline", own)
    check(abs(j["sites"][1]["trapped_ratio"] - 7) < 1e-6, "own guideline binds")
    own.write_text("[[fuel]]\nnam = 3\n")
    r = run("target", SITES, "--guideline", own)
    check(r.returncode == 3 and "own.toml:" in r.stderr, "mistakes in a guideline have a place")


    # Two readings that contradict each other at one place: neither is believed closer than they differ.
    twice = [('pressure = "182 psi"', 'pressure = "170 psi"'), ('altitude = "1150 m"', 'altitude = "180 m"')]
    r = run("target", changed(*twice))
    check(r.stdout.count("CAUTION: reading") >= 1, f"contradiction: {r.stdout[-900:]}")
    u = target_json(changed(*twice))["sites"][0]["uncertainty"]["gauge_psi"]["standard_uncertainty"]
    check(u > 1.5 * plain["sites"][0]["uncertainty"]["gauge_psi"]["standard_uncertainty"], f"and the forecast knows less: {u}")
    # What the air alone would give is shown per reading (200 at the coast: 190 and 173, common practice, no source).
    steep = target_json(changed(('pressure = "214 psi"', 'pressure = "200 psi"'), ('altitude = "180 m"', 'altitude = "0 m"'),
                                ('pressure = "182 psi"\naltitude = "1150 m"', 'pressure = "175 psi"\naltitude = "430 m"\n\n[[reading]]\nname = "desert"\npressure = "145 psi"\naltitude = "1200 m"')))
    alone = [x["air_alone_psi"] for x in steep["readings"]]
    check(all(abs(a - b) < 1 for a, b in zip(alone, (200, 190, 173))) and 2.1 < steep["fitted_m"] < 2.5, f"the air alone: {alone}, m {steep['fitted_m']}")
    # A kind of fit is not changed by a trial: readings just too near for an altitude exponent stay so (Monte Carlo within 15 % of first order).
    near = changed(('altitude = "1150 m"', 'altitude = "585 m"'), ('pressure = "182 psi"', 'pressure = "203 psi"'))
    first, sampled = target_json(near), target_json(near, "--trials", 20000)
    check(first["fitted_m"] is None, "just too near")
    a, b = (x["sites"][2]["uncertainty"]["gauge_psi"]["standard_uncertainty"] for x in (first, sampled))
    check(abs(a / b - 1) < 0.15, f"no flip of the fit in a trial: {a} {b}")
    # A wish that leaves no room for the squish clearance, or is over the guideline, is said.
    r = run("target", changed(("[want]", '[want]\nhead_volume = "7 cc"')))
    check("cannot hold the squish clearance" in r.stdout and "over the guideline's ceiling" in r.stdout, f"absurd wish: {r.stdout[-1200:]}")
    r = run("target", changed(("[want]", '[want]\ngauge_pressure = "170 psi"')))
    check("short of the guideline's window" in r.stdout and "keeps the volume up" not in r.stdout, "a wish under the window blames nobody")
    # A barometer up there given for a weather report's figure, and one no weather reaches.
    r = run("target", changed(('sea_level_pressure = "1014 hPa"', 'sea_level_pressure = "880 hPa"')))
    check(r.returncode == 3 and "write it as station_pressure" in r.stderr, f"station for reduced: {r.stderr}")
    r = run("target", changed(('sea_level_pressure = "1014 hPa"', 'station_pressure = "1085 hPa"')))
    check(r.returncode == 3 and "higher than any weather" in r.stderr, f"too high a barometer: {r.stderr}")
    # A doubt larger than what is measured is said, never "nan".
    r = run("target", changed(('head_volume = "22.6 cc"', 'head_volume = "9 cc"'), ('[want]', '[uncertainty]\nhead_volume = "5 cc"\n\n[want]'), ('pressure = "214 psi"', 'pressure = "560 psi"'), ('pressure = "182 psi"', 'pressure = "490 psi"')), "--trials", 20000)
    check("nan" not in r.stdout + r.stderr, f"nan: {r.stdout[:1500]}{r.stderr}")
    r = run("target", changed(('altitude = "1900 m"', 'station_pressure = "660 hPa"\naltitude = "1900 m"')))
    check(r.returncode == 3 and "lower than any weather" in r.stderr, "too low a barometer")
    r = run("target", changed(('head_volume = "22.6 cc"', 'head_volume = "2 cc"')))
    check(r.returncode == 3 and "do not belong together" in r.stderr and "nan" not in r.stderr, f"head smaller than the crown: {r.stderr}")
    # A bare sheet may ask for a squish clearance alone, and then it is a criterion: a disc of the bore and that height.
    bare = SITES.read_text().split("[squish]")[0]
    sheet = HERE / "bare.toml"
    sheet.write_text(bare + '[squish]\nclearance = "6 mm"\n')
    squish = target_json(sheet)["sites"][1]
    check(abs(squish["asked_cc"]["squish"] - 3.14159265 / 4 * 66.4 ** 2 * 6 / 1000) < 1e-3 and squish["bound_by"] == "squish clearance", "squish binds")
    sheet.write_text(bare)
    check("(not asked)" in run("target", sheet).stdout, "a criterion without a figure is said to be none")
    # Readings that repeat badly know less of the fall with altitude; far from the readings most of all.
    wild = target_json(changed(("[want]", '[uncertainty]\nrepeat = "8 %"\n\n[want]')))
    for k in (0, 2):
        check(wild["sites"][k]["uncertainty"]["gauge_psi"]["standard_uncertainty"] > 1.5 * plain["sites"][k]["uncertainty"]["gauge_psi"]["standard_uncertainty"],
              "scatter of the readings is in the forecast")
    # An altitude alone leaves the weather open; a barometer does not.
    station = target_json(changed(('altitude = "1900 m"', 'station_pressure = "80.49 kPa"')))
    check(station["sites"][2]["uncertainty"]["gauge_psi_model"]["standard_uncertainty"] < plain["sites"][2]["uncertainty"]["gauge_psi_model"]["standard_uncertainty"], "weather")
    # A weather report's figure low down is not sure to be one, but it is said.
    r = run("target", changed(('sea_level_pressure = "1014 hPa"', 'station_pressure = "1014 hPa"'), ('altitude = "1250 m"', 'altitude = "300 m"')))
    check(r.returncode == 0 and "high for station pressure" in r.stdout, f"suspicious barometer: {r.stdout[-600:]}{r.stderr}")
    r = run("target", changed(('rod = "130 mm"', '# rod = "130 mm"'), ('[gauge]', '#'), ('check_valve', '#'), ('extra_volume', '#')))
    check(r.returncode == 0 and "1.7 to 2.1 x stroke" in r.stdout and "Nothing was said of the gauge" in r.stdout, f"assumptions are said: {r.stderr}")
    # design and set judge by the same guideline of one's own.
    own.write_text('[[fuel]]\nname = "methanol"\ntrapped_ratio = "8"\ngauge_low = "100 psi"\ngauge_high = "400 psi"\n'
                   '[[use]]\nname = "short bursts"\nshift = "0 %"\n')
    r = run("design", SITES, "-o", HERE / "own", "--guideline", own, "--json")
    check(r.returncode == 0 and abs(json.loads(r.stdout)["trapped_ratio"] - 8) < 0.01, f"own guideline in design: {r.stdout[:300]}")


def make_set():
    out = HERE / "set"
    r = run("set", SITES, "-o", out, "--json")
    check(r.returncode == 0, f"set: {r.stderr}")
    j = json.loads(r.stdout)
    check([i["letter"] for i in j["inserts"]] == ["A", "B"], "three sites, two of them alike: two inserts")
    check(j["inserts"][1]["for"] == ["high desert", "mountain lake bed"], "the alike ones are merged")
    for i in j["inserts"]:
        result = json.loads((out / i["result"]).read_text())
        check(abs(result["volumes_cc"]["profile"] - i["head_cc"]) < 0.005, f"insert {i['letter']} holds its volume")
        check(len(i["at"]) == 3 and all(a["not_over_guideline"] is not None for a in i["at"]), "every insert at every site")
        psi = [a["gauge_psi_fitted"] for a in i["at"]]
        check(psi == sorted(psi, reverse=True), "higher sites read less")
    # Insert B reads 254 psi at the coast, one under the window's top, and nobody knows it to a psi.
    check(any("not sure" in c and "insert B at coast dunes" in c for c in j["cautions"]), f"a star on the edge: {j['cautions']}")
    check(all(p.stat().st_size > 100 for p in out.iterdir()) and not list(out.glob(".*")), "no litter")
    # Told that what differs by less than 5 cc is alike, it makes one for all; told nonsense, none.
    r = run("set", SITES, "-o", HERE / "apart", "--apart", "5 cc", "--json", "--only", "json")
    check(r.returncode == 0 and len(json.loads(r.stdout)["inserts"]) == 1, f"one for all: {r.stderr}")
    r = run("set", SITES, "-o", HERE / "nonsense", "--apart", "0.1 mm")
    check(r.returncode == 2 and not (HERE / "nonsense").exists(), f"--apart in mm: {r.returncode} {r.stderr}")
    # For very many places no table of every insert everywhere: it would grow with their square.
    text = SITES.read_text()
    many = "".join(f'[[site]]\nname = "place {i}"\naltitude = "{10 * i} m"\n' for i in range(150))
    (HERE / "many.toml").write_text((text[:text.index("[[site]]")] + many + text[text.index("[want]"):])
                                    .replace('site = "coast dunes"', 'site = "place 0"').replace('"lathes/', f'"{LATHES}/'))
    r = run("set", HERE / "many.toml", "-o", HERE / "many", "--apart", "0.4 cc", "--json", "--only", "json")
    j = json.loads(r.stdout)
    check(r.returncode == 0 and len(j["inserts"]) > 1, f"many places: {r.stderr}")
    check(all([a["site"] for a in i["at"]] == i["for"] for i in j["inserts"]), "each insert where it belongs")
    check(len((HERE / "many" / "three-sites-250-set.txt").read_text().split("where each insert belongs")[1].split("\n\n")[0].splitlines()) == 151, "a line a place")
    # Without a fuel nothing is judged, and nothing is starred.
    r = run("set", SOURCE / "profiles" / "demo.toml", "-o", HERE / "bare", "--json")
    check(r.returncode == 0 and json.loads(r.stdout)["inserts"][0]["at"][0]["not_over_guideline"] is None, f"no guideline: {r.stderr}")
    # One insert out of reach: nothing is written at all.
    out = HERE / "none"
    r = run("set", changed(("bowl_radius  = { prefer = \"26 mm\", min = \"22 mm\", max = \"60 mm\" }",
                            "bowl_radius  = { prefer = \"26 mm\", min = \"25.9 mm\", max = \"26.1 mm\" }"),
                           ('squish_width = { prefer = "9 mm", min = "7 mm", max = "12 mm", weight = "2" }', 'squish_width = "9 mm"')), "-o", out)
    check(r.returncode == 4 and "insert A" in r.stderr, f"set out of reach: {r.returncode} {r.stderr}")
    check(not out.exists() or not any(out.iterdir()), "nothing written")


def intake():
    r = run("intake", "--blank")
    check(r.returncode == 0 and "Bore?" in r.stdout and "degree wheel" in r.stdout.lower(), "blank sheet")
    answers = ["Bench job", "", "664 mm", "66.4 mm", "72", "72 mm", "back", "72.1 mm", "130 mm", "no", "?", "190 deg", "9000 rpm",
               "as a height", "0.35 mm below", "domed", "height", "3.1 mm", "o-ring", "1", "19 mm", "", "", "1.1 mm",
               "filled", "22.6 cc", "2", "", "", "1", "195 psi", "altitude", "180 m",
               "autumn", "180 psi", "barometer there", "1180 m", "880 hPa", "today's head", "", "leaded race 110",
               "motocross", "water", "", "home track", "altitude", "180 m", "", "", "hills", "altitude", "1400 m", "25 C", "30 %", "", ""]
    spec = HERE / "bench.toml"
    r = run("intake", "-o", spec, stdin="\n".join(answers) + "\n")
    check(r.returncode == 0, f"intake: {r.stderr}")
    check("more or less than this can be" in r.stderr and "no unit" in r.stderr, "answers are checked")
    check("port edge opening" in r.stderr, "? explains")
    check("one is needed" in r.stderr, "at least one place")
    text = spec.read_text()
    check('stroke = "72.1 mm"' in text and '"72 mm"' not in text, "back replaces an answer; units as typed")
    check(text.count("[[site]]") == 2 and text.count("[today]") == 1 and text.count("[[reading]]") == 1, "sites, readings and tables")
    check("air_by" not in text and "power_valve" not in text, "what only leads the way is not written")
    j = target_json(spec)
    check([s["name"] for s in j["sites"]] == ["home track", "hills"], "the spec answers")
    check(j["fitted_m"] is not None and abs(j["inputs"]["readings"][1]["ambient_kpa"] - 88) < 1e-9, "the further reading is used")
    # Every other way through: depth gauge over blocks, a weighed head, barometers, a figure wanted, a gasket.
    answers2 = ["Other way", "", "66.4 mm", "72 mm", "", "yes", "178 deg", "190 deg", "", "depth gauge over blocks", "31.80 mm", "31.45 mm",
                "dished", "volume", "2 cc", "gasket", "68 mm", "0.5 mm", "1", "19 mm", "washer", "1.4 mm", "", "weighed", "22.55 g", "21 C", "2",
                "18 mm", "0.2 cc", "behind a hose", "1.2 cc", "140 psi", "weather report", "1250 m", "1014 hPa", "second head", "172 psi",
                "barometer there", "95 m", "1002 hPa", "weighed", "21.0 g", "", "plug fitted", "", "methanol", "short bursts", "", "coast", "barometer there",
                "20 m", "1011 hPa", "", "", "", "gauge pressure", "220 psi"]
    other = HERE / "other.toml"
    r = run("intake", "-o", other, stdin="\n".join(answers2) + "\n")
    check(r.returncode == 0, f"the other way: {r.stderr}")
    j = target_json(other)
    # By hand: deck 31.80 - 31.45; 22.55 g at 21 C over 0.99799 g/cc (water tables); hole 18 mm long on the pitch diameter 13.188 mm.
    i = j["inputs"]
    check(abs(i["deck_below_mm"] - 0.35) < 1e-9, "deck from reading and block")
    check(abs(i["today"]["head_cc"]["to_bottom_of_plug_hole"] - 22.55 / 0.99799) < 1e-3, "weighed water")
    check(abs(i["today"]["head_cc"]["plug_fitted"] - (22.55 / 0.99799 - 0.2)) < 1e-3, "less the plug's tip")
    check(abs(i["today"]["head_cc"]["to_top_of_plug_hole"] - i["today"]["head_cc"]["to_bottom_of_plug_hole"] - 3.14159265 / 4 * 13.188 ** 2 * 18 / 1000) < 1e-3, "the hole")
    check(abs(i["readings"][1]["head_cc"] - 21.0 / 0.99821) < 1e-3, "a reading with a head of its own, weighed at 20 C")
    check(i["gasket"] == {"bore_mm": 68, "thickness_mm": 0.5} and j["sites"][0]["bound_by"] == "wanted gauge pressure", "gasket and wish")
    g = j["sites"][0]["guideline"]
    check(abs(j["sites"][0]["clearance_cc"] - g["clearance_cc"] - g["difference_cc"]) < 2e-6 and g["difference_cc"] != 0, "distance to the guideline")
    # A weather report's figure typed for a barometer up there is seen, because the altitude is asked beside it.
    twice = "\n".join(answers).replace("880 hPa", "1014 hPa\n880 hPa").replace("\nautumn\n", "\ntoday\nautumn\n")
    r = run("intake", "-o", HERE / "report.toml", stdin=twice + "\n")
    check(r.returncode == 0 and "higher than any weather" in r.stderr and "is already there" in r.stderr, f"report as barometer: {r.stderr[-500:]}")
    # A sheet whose readings cannot be is written, and it is said why target will refuse it; a draft only where the spec itself is wrong.
    r = run("intake", "-o", HERE / "wild.toml", stdin="\n".join(answers).replace("195 psi", "70 psi").replace("180 psi", "64 psi") + "\n")
    check(r.returncode == 3 and "re-measure" in r.stderr and "The sheet is written" in r.stderr and "Now:" not in r.stdout, f"wild readings: {r.stderr[-600:]}")
    check((HERE / "wild.toml").exists() and not (HERE / "wild.toml.draft").exists(), "and is there")
    # Figures that do not go together are seen at the question; an inch mark does no harm.
    odd = ["Inches", "", '2.6142"', "72 mm", "70 mm", "130 mm", "yes", "190 deg", "178 deg", "back", "back", "no"] + answers[11:]
    r = run("intake", "-o", HERE / "inch.toml", stdin="\n".join(odd) + "\n")
    check("shorter than the stroke" in r.stderr and "shut than open" in r.stderr, "contradictions at the bench")
    check(r.returncode == 0 and abs(target_json(HERE / "inch.toml")["inputs"]["bore_mm"] - 2.6142 * 25.4) < 1e-6, f"inch mark: {r.stderr[-400:]}")
    # Nobody answers: an end is made of it, and what was answered is kept.
    r = run("intake", "-o", HERE / "foo.toml", stdin="foo\n" * 1000)
    check(r.returncode == 3 and "too many wrong answers" in r.stderr and len(r.stderr) < 8000, f"endless nonsense: {r.stderr[-300:]}")
    check("foo.toml.answers" in r.stderr and "Nothing was written" not in r.stderr, "what was kept is said")
    r = run("intake", "-o", spec, stdin="x\n")
    check(r.returncode == 6 and spec.read_text() == text, "an existing sheet is not overwritten")
    # Ended too early: nothing half-written, what was answered is kept and can be gone on with.
    early = HERE / "early.toml"
    r = run("intake", "-o", early, stdin="\n".join(answers[:12]) + "\n")
    check(r.returncode == 3 and not early.exists() and "ended at the question" in r.stderr, f"early end: {r.stderr}")
    kept = (HERE / "early.toml.answers").read_text()
    r = run("intake", "-o", early, stdin=kept + "\n".join(answers[12:]) + "\n")
    check(r.returncode == 0, f"gone on with: {r.stderr}")
    # At a terminal the next run goes on by itself, whatever ended the first.
    broken_off = HERE / "broken off.toml"
    kept = HERE / "broken off.toml.answers"
    for last in (b"\x03", None):  # Ctrl-C, kill -9
        code, _ = at_a_terminal(answers[:12], last, "intake", "-o", broken_off)
        check(code == (-signal.SIGINT if last else -signal.SIGKILL) and not broken_off.exists(), f"broken off: {code}")
        check(kept.read_text().split("\n")[-2] == answers[11], f"kept: {kept.read_text()!r}")
    before = kept.read_text().split("\n")[:-1]
    # Mended wrongly: the line is named, and nothing is lost.
    kept.write_text("\n".join(before[:3] + ["nonsense"] + before[4:]) + "\n")
    code, said = at_a_terminal([], None, "intake", "-o", broken_off)
    check(code == 3 and f"{kept}:4" in said and "nonsense" in said and kept.read_text().split("\n")[4:-1] == before[4:], f"a misfit: {code}: {said[-400:]}")
    kept.unlink()
    kept.mkdir()
    code, said = at_a_terminal([], None, "intake", "-o", broken_off)
    check(code == 6 and "no plain file" in said and kept.is_dir(), f"a folder in the way: {code}: {said[-400:]}")
    kept.rmdir()
    kept.write_text("\n".join(before) + "\n")
    code, said = at_a_terminal(answers[12:], None, "intake", "-o", broken_off)
    check(code == 0 and f"Going on after {len(before)} answers, the first \"Bench job\", in {kept}" in said, f"gone on with at the terminal: {code}: {said[-400:]}")
    check(broken_off.read_text() == text and not kept.exists(), "the same sheet, and nothing left beside it")
    # A sheet that contradicts itself becomes a draft; its answers are not given for the next customer's.
    code, said = at_a_terminal([a.replace("3.1 mm", "20 mm") if a != "height" else "radius" for a in answers], None, "intake", "-o", HERE / "draft.toml")
    check(code == 3 and (HERE / "draft.toml.draft").exists() and not (HERE / "draft.toml.answers").exists(), f"a draft: {code}: {said[-600:]}")


def at_a_terminal(lines, last, *command):
    """Types the lines, each when it is asked for, then `last`; where there is none the program is killed if it still asks."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.execv(PROGRAM, [PROGRAM, *map(str, command)])
    said = ""
    def asked():  # a question ends in a space, and then nothing comes
        nonlocal said
        while select.select([terminal], [], [], 0.1 if said.endswith(" ") else 10)[0]:
            try:
                said += os.read(terminal, 65536).decode(errors="replace")
            except OSError:  # it has ended
                return
    for line in lines:
        asked()
        os.write(terminal, (line + "\n").encode())
        said += "\n"
    asked()
    if last:
        os.write(terminal, last)
    ended, status = os.waitpid(pid, 0 if last else os.WNOHANG)
    if not ended:
        os.kill(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
    os.close(terminal)
    return os.waitstatus_to_exitcode(status), said


def atmosphere():
    """Source: GNU units, run live: stdatmPH takes geopotential height."""
    for h in range(-500, 4001, 250):
        u = subprocess.run(["units", "--terse", f"stdatmPH({h} m)", "kPa"], capture_output=True, text=True)
        check(u.returncode == 0, f"units: {u.stdout}")
        theirs = float(u.stdout)
        # Our altitude key is geometric: z for this geopotential height.
        z = 6356766 * h / (6356766 - h)
        text = re.sub(r'altitude = "1900 m"', f'altitude = "{z:.4f} m"', SITES.read_text())
        path = HERE / "height.toml"
        path.write_text(text.replace('"lathes/', f'"{LATHES}/'))
        ours = target_json(path)["sites"][2]["ambient_kpa"]
        check(abs(ours / theirs - 1) < 2e-6, f"{h} m: {ours} against {theirs} kPa")


{"target": target, "set": make_set, "intake": intake, "atmosphere": atmosphere}[sys.argv[1]]()
print(f"{len(failures)} failed")
sys.exit(1 if failures else 0)

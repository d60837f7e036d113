// page_bundle.mjs: the bundle that is committed, and so built into the program, is what the bundler makes of the viewer's
// source and the locked packages.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";

const page = join(process.env.CHAMBER_SOURCE, "libchamber/papers/page");
execFileSync(process.execPath, [join(page, "bundle.mjs"), "made.js"], { stdio: "inherit" });
const made = readFileSync("made.js"), committed = readFileSync(join(page, "viewer.bundle.js"));
const same = made.equals(committed);
if (!same) console.log("FAILED: viewer.bundle.js is not what it is made from: run node libchamber/papers/page/bundle.mjs");
console.log(`${made.length} bytes compared`);
process.exit(same ? 0 : 1);

// traveller_chromium.mjs: the traveller of every spec in profiles/, as the program writes it, in a plain Chromium: no word on the
// console, every heading, the insert drawn; printed on A4 and Letter it takes two to four pages and one for the drawing, and no row or word is
// lost. The pages of a target and of a check likewise.
import { execFileSync } from "node:child_process";
import { mkdirSync, readdirSync, statSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const program = process.env.CHAMBER_PROGRAM, profiles = join(process.env.CHAMBER_SOURCE, "profiles");
let checks = 0, failures = 0;
const check = (ok, message) => {
  ++checks;
  if (ok) return;
  ++failures;
  console.log("FAILED: " + message);
};
const browser = await chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
});

async function open(file) {
  const page = await browser.newPage({ viewport: { width: 1240, height: 900 } });
  page.said = [];
  page.on("console", message => page.said.push(message.text()));
  page.on("pageerror", error => page.said.push(String(error)));
  await page.goto(pathToFileURL(resolve(file)).href);
  return page;
}

/** Texts of charts, section and steps that leave their picture or meet another. */
const meetings = page => page.evaluate(() => {
  const bad = [];
  for (const svg of document.querySelectorAll("#charts svg, .profile svg, .steps svg")) {
    const frame = svg.getBoundingClientRect(), texts = [...svg.querySelectorAll("text")];
    const boxes = texts.map(t => t.getBoundingClientRect());
    boxes.forEach((a, i) => {
      if (a.left < frame.left - 1 || a.right > frame.right + 1) bad.push(`"${texts[i].textContent}" leaves its picture`);
      boxes.slice(i + 1).forEach((b, k) => {
        if (a.left < b.right && b.left < a.right && a.top + 1 < b.bottom && b.top + 1 < a.bottom)
          bad.push(`"${texts[i].textContent}" meets "${texts[i + 1 + k].textContent}"`);
      });
    });
  }
  return bad;
});

async function look(file, name, headings, solid) {
  const page = await open(file);
  if (solid) {
    await page.waitForSelector("#viewer[data-ready]");
    await page.waitForTimeout(400);
    const colours = await page.evaluate(() => {
      const canvas = document.querySelector("#viewer canvas"), copy = document.createElement("canvas");
      copy.width = canvas.width, copy.height = canvas.height;
      const pen = copy.getContext("2d");
      pen.drawImage(canvas, 0, 0);
      const { data } = pen.getImageData(0, 0, copy.width, copy.height), seen = new Set();
      for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 128) seen.add(data[i] >> 4 << 8 | data[i + 1] >> 4 << 4 | data[i + 2] >> 4);
      return seen.size;
    });
    check(colours > 20, `${name}: ${colours} colours on the canvas`);
  }
  const found = await page.$$eval("h1, h2", all => all.map(h => h.textContent.trim()));
  for (const h of headings) check(found.includes(h), `${name}: heading "${h}" is missing among ${found.join(", ")}`);
  const bad = await meetings(page);
  check(bad.length === 0, `${name}: ${bad.join("; ")}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  check(wide <= 0, `${name}: the page is ${wide} pixels wider than the window`);
  // WCAG 2.2, 1.4.10: nothing moves sideways down to 320 pixels but tables and drawings, and those by the keyboard too (2.1.1).
  for (const width of [900, 420, 320]) {
    await page.setViewportSize({ width, height: 900 });
    const found = await page.evaluate(() => ({
      over: document.documentElement.scrollWidth - innerWidth,
      mute: [...document.querySelectorAll("main *")].filter(e => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0
        && getComputedStyle(e).overflowX === "auto" && e.tabIndex < 0).length,
      covered: [...document.querySelectorAll(".facts")].filter(t => t.scrollWidth > t.parentElement.clientWidth
        || t.getBoundingClientRect().right > (t.nextElementSibling?.getBoundingClientRect().left ?? 1e9) + 1
        && t.getBoundingClientRect().bottom > t.nextElementSibling.getBoundingClientRect().top + 1
        && t.getBoundingClientRect().left < t.nextElementSibling.getBoundingClientRect().left).length,
    }));
    check(found.over <= 0, `${name}: ${found.over} pixels wider than a window of ${width}`);
    check(found.mute === 0, `${name}: ${found.mute} parts move sideways by the mouse only at ${width}`);
    check(found.covered === 0, `${name}: ${found.covered} tables lie over what is beside them at ${width}`);
  }
  await page.setViewportSize({ width: 1240, height: 900 });
  for (const format of ["A4", "Letter"]) {
    const pdf = `${name}-${format}.pdf`;
    await page.pdf({ path: pdf, format, preferCSSPageSize: true });
    const pages = Number(execFileSync("pdfinfo", [pdf]).toString().match(/Pages:\s+(\d+)/)[1]);
    // The drawing, its two sheets on one page, comes behind those for the bench.
    const drawn = await page.$$eval("#drawing .drawing.wide", all => all.length) === 2 ? 1 : 0;
    check(pages - drawn >= (solid ? 2 : 1) && pages - drawn <= 4, `${name}: ${pages} pages of ${format}, ${drawn} of them the drawing`);
    const text = execFileSync("pdftotext", ["-layout", pdf, "-"]).toString();
    if (solid)
      for (const word of ["Cut by", "Mean less wanted", "Clamping 2", "Detonation", "sha256"])
        check(text.includes(word), `${name}: "${word}" is not on the ${format} paper`);
  }
  check(page.said.length === 0, `${name}: on the console: ${page.said.join("; ")}`);
  await page.close();
}

try {
  for (const spec of readdirSync(profiles).filter(f => f.endsWith(".toml"))) {
    const name = basename(spec, ".toml");
    mkdirSync(name);
    execFileSync(program, ["design", join(profiles, spec), "-o", name, "--only", "traveller"]);
    const file = join(name, readdirSync(name).find(f => f.endsWith("-traveller.html")));
    check(statSync(file).size < 2e6, `${name}: ${statSync(file).size} bytes`);
    await look(file, name, ["The insert", "The answer, and why", "The sheet, as measured", "Charts", "Drawing", "Setup sheets",
                            "Inspection", "Programs", "Notes", "Cautions"], true);
  }
  execFileSync(program, ["target", join(profiles, "sites.toml"), "-o", "target.html"]);
  await look("target.html", "target", ["The answer, and why", "Charts", "Notes"], false);
  execFileSync(program, ["check", join(profiles, "two-radius.toml"), "-o", "check.html"]);
  await look("check.html", "check", ["The answer, and why", "Drawing", "Cautions"], false);
} finally {
  await browser.close();
}
console.log(`${checks} checks, ${failures} failures`);
process.exit(failures ? 1 : 0);

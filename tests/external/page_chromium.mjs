// page_chromium.mjs WRITE_PAPERS: a plain Chromium opens the traveller from a file: no word on the console, nothing asked of any
// network, every heading there, the insert drawn and cut by the slider, keyboard and both colour schemes; printed on A4
// and Letter it takes two to four pages that hold what the bench needs; the charts' texts keep clear of each other, and
// their points stand where their axes say.
import { execFileSync } from "node:child_process";
import { readFileSync, statSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

execFileSync(process.argv[2], ["."]);
let checks = 0, failures = 0;
const check = (ok, message) => {
  ++checks;
  if (!ok) {
    ++failures;
    console.log("FAILED: " + message);
  }
};

const browser = await chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
});

/** A fresh page that notes every word on the console and every request but the file itself. */
async function open(file, options = {}) {
  const page = await browser.newPage({ viewport: { width: 1240, height: 900 }, ...options });
  page.said = [];
  page.on("console", message => page.said.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", error => page.said.push(String(error)));
  const url = pathToFileURL(resolve(file)).href;
  page.on("request", request => {
    if (!request.url().startsWith(url) && !/^(data|blob):/.test(request.url())) page.said.push("request: " + request.url());
  });
  await page.goto(url);
  return page;
}

/** What the canvas shows: how many of its pixels are painted, and how many kinds of colour; and a print of them. */
const look = page => page.evaluate(async () => {
  await new Promise(done => setTimeout(done, 400)); // drawn in the next frame, photographed when it rests
  const canvas = document.querySelector("#viewer canvas"), copy = document.createElement("canvas");
  copy.width = canvas.width;
  copy.height = canvas.height;
  const pen = copy.getContext("2d");
  pen.drawImage(canvas, 0, 0);
  const { data } = pen.getImageData(0, 0, copy.width, copy.height);
  const colours = new Set();
  let painted = 0, orange = 0, print = 0;
  for (let i = 0; i < data.length; i += 4) {
    print = (Math.imul(print, 31) + data[i] + 7 * data[i + 1] + 13 * data[i + 2] + 17 * data[i + 3]) | 0;
    if (data[i + 3] < 128) continue;
    ++painted;
    colours.add((data[i] >> 4 << 8) | (data[i + 1] >> 4 << 4) | data[i + 2] >> 4);
    if (data[i] > data[i + 2] + 50) ++orange;
  }
  return { share: 4 * painted / data.length, orange: 4 * orange / data.length, colours: colours.size, print };
});

async function viewer() {
  const page = await open("traveller.html");
  await page.waitForSelector("#viewer[data-ready]");
  const headings = await page.$$eval("h1, h2", all => all.map(h => h.textContent.trim()));
  for (const heading of ["The insert", "The answer, and why", "The sheet, as measured", "Charts", "Drawing", "Setup sheets",
                         "Inspection", "Programs", "Notes", "Cautions"])
    check(headings.includes(heading), `heading "${heading}" is missing among ${headings.join(", ")}`);
  check(headings[0] === "Sand drag 250 <invented> revision A", `the title reads ${headings[0]}`); // nothing of it became a tag
  const half = await look(page);
  check(half.share > 0.12 && half.share < 0.7, `${100 * half.share} % of the canvas painted`);
  check(half.colours > 20, `${half.colours} colours on the canvas`);
  check(half.orange > 0.05, "no cut face, no chamber on the canvas");
  const slide = async value => {
    await page.$eval("#viewer input", (slider, v) => {
      slider.value = v;
      slider.dispatchEvent(new Event("input"));
    }, value);
    return look(page);
  };
  const whole = await slide(0), most = await slide(90), back = await slide(50);
  check(whole.print !== half.print && most.print !== half.print, "the slider changes nothing");
  check(back.print === half.print, "the same section is not the same picture");
  check(most.share < half.share && half.share <= whole.share + 0.02, `cut further, more is painted: ${whole.share}, ${half.share}, ${most.share}`);
  await page.focus("#viewer canvas");
  for (const key of ["ArrowLeft", "ArrowDown", "+"]) {
    const before = await look(page);
    await page.keyboard.press(key);
    check((await look(page)).print !== before.print, `the key ${key} does nothing`);
  }
  await page.keyboard.press("Home");
  check((await look(page)).print === half.print, "Home does not go back");
  await page.focus("#viewer input");
  await page.keyboard.press("ArrowRight");
  check((await look(page)).print !== half.print, "the slider does not listen to the keyboard");
  // The profile, from rim to rim, as long as the chain it was drawn from (the browser's own measure of lines and arcs).
  const drawn = await page.$eval(".profile path[stroke^='var(--accent']", path => path.getTotalLength());
  const expected = Number(readFileSync("profile_mm.txt", "ascii"));
  check(Math.abs(drawn - 2 * expected) < 0.02, `the profile is ${drawn} long, expected ${2 * expected} mm`);
  check(await page.$eval("#no-3d", p => p.hidden), "the notice about a missing view is shown");
  const ids = await page.$$eval("[id]", all => all.map(e => e.id));
  check(new Set(ids).size === ids.length, `ids are used twice: ${ids.filter((id, i) => ids.indexOf(id) !== i)}`);
  check(page.said.length === 0, `on the console: ${page.said.join("; ")}`);
  await page.screenshot({ path: "light.png", fullPage: true });
  await page.close();
}

async function colours() {
  const ground = page => page.evaluate(() => getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number));
  for (const colorScheme of ["light", "dark"]) {
    const page = await open("traveller.html", { colorScheme });
    const bright = ([r]) => (r > 128 ? "light" : "dark");
    check(bright(await ground(page)) === colorScheme, `${colorScheme} wanted, the ground is ${await ground(page)}`);
    await page.click("#theme");
    check(bright(await ground(page)) !== colorScheme, "the button does not change the colours");
    // WCAG 2.2, 1.4.3: 4.5 to 1 for text, whichever scheme.
    const worst = await page.evaluate(() => {
      const luminance = colour => colour.map(v => v / 255).map(v => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
        .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
      const rgb = text => text.match(/[\d.]+/g).map(Number);
      let low = { ratio: 99 };
      for (const e of document.querySelectorAll("p, li, td, th, dt, dd, figcaption, small, a, h1, h2, h3, button, caption")) {
        let under = e;
        while (under && (rgb(getComputedStyle(under).backgroundColor)[3] ?? 1) === 0) under = under.parentElement;
        const pair = [getComputedStyle(e).color, getComputedStyle(under ?? document.body).backgroundColor]
          .map(c => luminance(rgb(c).slice(0, 3))).sort((a, b) => b - a);
        const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
        if (ratio < low.ratio) low = { ratio, what: e.textContent.slice(0, 30) };
      }
      return low;
    });
    check(worst.ratio >= 4.5, `contrast of ${worst.ratio.toFixed(2)} to 1 at "${worst.what}"`);
    await page.close();
  }
}

async function paper() {
  const page = await open("traveller.html");
  await page.waitForSelector("#viewer[data-ready]");
  for (const format of ["A4", "Letter"]) {
    const file = `traveller-${format}.pdf`;
    await page.pdf({ path: file, format, preferCSSPageSize: true });
    const pages = Number(execFileSync("pdfinfo", [file]).toString().match(/Pages:\s+(\d+)/)[1]);
    check(pages >= 2 && pages <= 4, `${pages} pages of ${format}`);
    const text = execFileSync("pdftotext", ["-layout", file, "-"]).toString();
    for (const word of ["21.50 cc", "Clamping 2: top side", "roughing bar 10", "234\u2013251", "stick-out", "Mean less wanted",
                        "34.91 to 35.01 mm", "Cut by", "27ae41e4649b934ca495991b7852b855", "Detonation destroys motors"])
      check(text.includes(word), `"${word}" is not on the ${format} paper`);
    check(!text.includes("Half section"), "buttons are printed");
    // No line is cut: as many lines of text on paper as there are rows of the inspection table, each whole.
    for (let row = 1; row <= 9; ++row) check(new RegExp(`^\\s*${row}\\s+\\S.*`, "m").test(text), `row ${row} is not whole on ${format}`);
  }
  await page.close();
  const plain = await open("traveller.html", { javaScriptEnabled: false });
  check(await plain.isVisible("#no-3d"), "without scripts, nothing says why the view is missing");
  await plain.close();
}

async function charts() {
  for (const name of ["pressure", "ratio", "gap", "velocity", "contributions"]) {
    const page = await open(name + ".svg");
    const found = await page.evaluate(() => {
      const size = document.documentElement.viewBox.baseVal, bad = [];
      const texts = [...document.querySelectorAll("text")];
      const boxes = texts.map(t => t.getBoundingClientRect()), frame = document.documentElement.getBoundingClientRect();
      boxes.forEach((a, i) => {
        if (a.left < frame.left || a.right > frame.right || a.top < frame.top || a.bottom > frame.bottom)
          bad.push(`"${texts[i].textContent}" leaves the picture`);
        boxes.slice(i + 1).forEach((b, k) => {
          if (a.left < b.right && b.left < a.right && a.top + 1 < b.bottom && b.top + 1 < a.bottom)
            bad.push(`"${texts[i].textContent}" meets "${texts[i + 1 + k].textContent}"`);
        });
      });
      return { bad, texts: texts.length, size: size.width };
    });
    check(found.size === 480 && found.texts >= 8, `${name}: ${found.texts} texts`);
    check(found.bad.length === 0, `${name}: ${found.bad.join("; ")}`);
    check(page.said.length === 0, `${name}: ${page.said.join("; ")}`);
    await page.close();
  }
  // The readings (300 ft, 196 psi) and (4700 ft, 163 psi) of the sample, found again by the ticks' own positions.
  const svg = readFileSync("pressure.svg", "utf8");
  const ticks = anchor => [...svg.matchAll(new RegExp(`<text x="([\\d.]+)" y="([\\d.]+)" [^>]*text-anchor="${anchor}"[^>]*>(\\d+)</text>`, "g"))]
    .map(m => ({ x: Number(m[1]), y: Number(m[2]), value: Number(m[3]) }));
  const across = ticks("middle"), up = ticks("end");
  check(across.length > 3 && up.length > 3, "ticks are missing");
  const value = (list, axis, at) => {
    const [a, b] = [list[0], list[list.length - 1]];
    return a.value + (b.value - a.value) * (at - a[axis]) / (b[axis] - a[axis]);
  };
  const triangles = [...svg.matchAll(/d="M([\d.]+) ([\d.]+)L[^"L]*L[^"L]*Z" fill="#b04a00"/g)].slice(1, 3) // the first stands in the legend
    .map(m => [Number(m[1]), Number(m[2]) + 4.6]); // from the tip to the middle
  for (const [i, [feet, psi]] of [[300, 196], [4700, 163]].entries()) {
    const x = value(across, "x", triangles[i][0]), y = value(up, "y", triangles[i][1] + 4.5); // figures stand 4.5 below their tick
    check(Math.abs(x - feet) < 5 && Math.abs(y - psi) < 0.2, `the reading of ${feet} ft, ${psi} psi is drawn at ${x} ft, ${y} psi`);
  }
}

try {
  check(statSync("traveller.html").size < 2e6, `${statSync("traveller.html").size} bytes of HTML`);
  await viewer();
  await colours();
  await paper();
  await charts();
} finally {
  await browser.close();
}
console.log(`${checks} checks, ${failures} failures`);
process.exit(failures ? 1 : 0);

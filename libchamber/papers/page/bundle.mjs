// node bundle.mjs [FILE]: bundles the page's viewer (viewer.js) and the library it uses into one script for the pages
// that carry a model, viewer.bundle.js beside this file, or into FILE. Wants the npm packages of
// tests/external (tools/setup test). The bundle is committed, so that a build needs neither npm nor node.
import { createRequire } from "node:module";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const page = dirname(fileURLToPath(import.meta.url));
const packages = join(page, "../../../tests/external/node_modules");
const { build } = createRequire(join(packages, "none.js"))("esbuild");

const { outputFiles } = await build({
  entryPoints: [join(page, "viewer.js")],
  nodePaths: [packages],
  bundle: true,
  minify: true,
  write: false,
  format: "iife",
  target: "es2022",
  charset: "ascii",
  legalComments: "none", // the whole licence stands on top
});
const version = JSON.parse(readFileSync(join(packages, "three/package.json"))).version;
const licence = readFileSync(join(packages, "three/LICENSE"), "utf8").trim().replaceAll("\u00a9", "(c)");
// What would end the script in HTML is written another way, with the same meaning in JavaScript.
const script = outputFiles[0].text.replaceAll("</script", "<\\/script").replaceAll("<!--", "<\\!--");
writeFileSync(process.argv[2] ?? join(page, "viewer.bundle.js"), `/*\nContains three.js ${version}.\n\n${licence}\n*/\n${script}`);

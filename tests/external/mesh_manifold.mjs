// mesh_manifold.mjs WRITE_SAMPLES: the manifold library (another kernel than ours) takes each STL file as a closed oriented
// manifold of the genus the shape has (insert 1: the plug hole goes through; cavity 0) and finds its volume within the bound.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import Module from "manifold-3d";

const kernel = await Module();
kernel.setup();

/** Corners are one vertex when their bytes agree: no tolerance, so a gap of one bit is a hole. */
function meshOf(path) {
  const data = readFileSync(path);
  const count = data.readUInt32LE(80);
  const index = new Map(), points = [], corners = new Uint32Array(3 * count);
  for (let i = 0; i < 3 * count; ++i) {
    const at = 84 + 50 * Math.floor(i / 3) + 12 + 12 * (i % 3);
    const key = data.toString("latin1", at, at + 12);
    if (!index.has(key)) {
      index.set(key, index.size);
      for (let k = 0; k < 3; ++k) points.push(data.readFloatLE(at + 4 * k));
    }
    corners[i] = index.get(key);
  }
  return new kernel.Mesh({ numProp: 3, vertProperties: Float32Array.from(points), triVerts: corners });
}

execFileSync(process.argv[2], ["."]);
const parts = JSON.parse(readFileSync("expected.json", "ascii"));
let failures = 0;
const check = (ok, message) => {
  if (!ok) {
    ++failures;
    console.log("FAILED: " + message);
  }
};
for (const part of parts) {
  let body;
  try {
    body = new kernel.Manifold(meshOf(part.stl)); // throws on what is not a manifold
  } catch (error) {
    check(false, `${part.stl}: ${error.message}`);
    continue;
  }
  const volume = body.volume();
  check(body.status() === "NoError" || body.status().value === 0, `${part.stl}: status ${JSON.stringify(body.status())}`);
  check(body.decompose().length === 1, `${part.stl}: not one body`);
  check(body.genus() === part.genus, `${part.stl}: genus ${body.genus()}, expected ${part.genus}`);
  check(Math.abs(volume - part.volume_mm3) <= part.stl_bound_mm3,
        `${part.stl}: volume ${volume}, expected ${part.volume_mm3} +- ${part.stl_bound_mm3}`);
}
check(parts.length === 8, `8 samples expected, ${parts.length} found`);
console.log(`${parts.length} files checked, ${failures} failures`);
process.exit(failures ? 1 : 0);

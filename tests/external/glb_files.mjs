// glb_files.mjs WRITE_SAMPLES: the glTF validator (Khronos) finds nothing to say about the files; the manifold library (another
// kernel than ours) takes each as one closed body of the right genus and finds its volume, in cubic metres, within the
// bound; Y runs along the axis, away from the piston (glTF 2.0, 3.4: metres, +Y up); normals look where their triangles do.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import validator from "gltf-validator";
import Module from "manifold-3d";

const kernel = await Module();
kernel.setup();
execFileSync(process.argv[2], ["."]);
const parts = JSON.parse(readFileSync("expected.json", "ascii"));

let failures = 0;
const check = (ok, message) => {
  if (!ok) {
    ++failures;
    console.log("FAILED: " + message);
  }
};

/** JSON chunk and a reader of accessors, by the specification's layout (glTF 2.0, 4.4). */
function open(bytes) {
  const length = bytes.readUInt32LE(12);
  const json = JSON.parse(bytes.toString("utf8", 20, 20 + length));
  const start = 20 + length + 8;
  const read = index => {
    const accessor = json.accessors[index], view = json.bufferViews[accessor.bufferView];
    const size = { 5123: 2, 5125: 4, 5126: 4 }[accessor.componentType];
    const get = { 5123: "readUInt16LE", 5125: "readUInt32LE", 5126: "readFloatLE" }[accessor.componentType];
    const count = accessor.count * (accessor.type === "VEC3" ? 3 : 1);
    return Array.from({ length: count }, (_, i) => bytes[get](start + (view.byteOffset ?? 0) + size * i));
  };
  return { json, read };
}

/** All triangles with corners that are one when their bytes agree, and the worst agreement of normals with facets. */
function meshOf(file) {
  const index = new Map(), points = [], corners = [];
  let worst = 1;
  for (const primitive of file.json.meshes[0].primitives) {
    const positions = file.read(primitive.attributes.POSITION), normals = file.read(primitive.attributes.NORMAL);
    const triangles = file.read(primitive.indices);
    const at = (of, i) => of.slice(3 * i, 3 * i + 3);
    for (let t = 0; t < triangles.length; t += 3) {
      const [a, b, c] = [0, 1, 2].map(i => at(positions, triangles[t + i]));
      const u = b.map((x, i) => x - a[i]), v = c.map((x, i) => x - a[i]);
      const facet = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      for (let i = 0; i < 3; ++i) {
        const n = at(normals, triangles[t + i]);
        worst = Math.min(worst, n.reduce((sum, x, k) => sum + x * facet[k], 0) / Math.hypot(...facet));
      }
    }
    for (const i of triangles) {
      const key = at(positions, i).join();
      if (!index.has(key)) {
        index.set(key, index.size);
        points.push(...at(positions, i));
      }
      corners.push(index.get(key));
    }
  }
  const mesh = new kernel.Mesh({ numProp: 3, vertProperties: Float32Array.from(points), triVerts: Uint32Array.from(corners) });
  return { mesh, points, worst, triangles: corners.length / 3 };
}

for (const part of parts) {
  const bytes = readFileSync(part.glb);
  const report = await validator.validateBytes(new Uint8Array(bytes));
  check(report.issues.messages.length === 0, `${part.glb}: ${JSON.stringify(report.issues.messages.slice(0, 3))}`);
  const file = open(bytes), { mesh, points, worst, triangles } = meshOf(file);
  const body = new kernel.Manifold(mesh); // throws on what is not a manifold
  const bound = part.stl_bound_mm3 * 1.01; // rounded in metres instead of millimetres
  check(body.decompose().length === 1, `${part.glb}: not one body`);
  check(body.genus() === part.genus, `${part.glb}: genus ${body.genus()}, expected ${part.genus}`);
  check(Math.abs(body.volume() * 1e9 - part.volume_mm3) <= bound,
        `${part.glb}: volume ${body.volume()} m3, expected ${part.volume_mm3} +- ${bound} mm3`);
  check(triangles === part.triangles, `${part.glb}: ${triangles} triangles, the STL file has ${part.triangles}`);
  // Chords of at most 0.35 rad: half of that, and half a column.
  check(worst > Math.cos(0.25), `${part.glb}: a normal is ${Math.acos(worst)} rad off its triangle`);
  const along = points.filter((_, i) => i % 3 === 1);
  const low = Math.min(...along), high = Math.max(...along);
  // The top of a trough lies between two rings: short by no more than the mesh's deflection.
  check(Math.abs(low * 1000 - part.z_min_mm) < 0.02 && Math.abs(high * 1000 - part.z_max_mm) < 0.02,
        `${part.glb}: Y from ${low} to ${high} m, expected ${part.z_min_mm} to ${part.z_max_mm} mm`);
  const used = file.json.meshes[0].primitives.map(p => file.json.materials[p.material].name).sort().join();
  check(used === (part.genus ? "body,chamber" : "body"), `${part.glb}: materials ${used}`);
}
check(parts.length === 8, `8 samples expected, ${parts.length} found`);
console.log(`${parts.length} files checked, ${failures} failures`);
process.exit(failures ? 1 : 0);

// The insert in three dimensions: turned, sectioned by a slider, drawn only when something changed. Reads the binary glTF
// that the page carries packed, as base64; asks nothing of any network.
import {
  AlwaysStencilFunc, AmbientLight, BackSide, Box3, BufferGeometry, CanvasTexture, Color, DecrementWrapStencilOp, DirectionalLight,
  EdgesGeometry, FrontSide, Group, HemisphereLight, IncrementWrapStencilOp, LineBasicMaterial, LineSegments, Mesh,
  MeshBasicMaterial, NotEqualStencilFunc, PerspectiveCamera, Plane, PlaneGeometry, RepeatWrapping, ReplaceStencilOp, Scene,
  SRGBColorSpace, Vector3, WebGLRenderer, ZeroStencilOp,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { GLTFLoader } from "three/examples/jsm/loaders/GLTFLoader.js";

const millimetres = 1000;

/** Diagonal lines, as a cut face has on a drawing; one tile. */
function hatching() {
  const tile = document.createElement("canvas");
  tile.width = tile.height = 64;
  const pen = tile.getContext("2d");
  pen.fillStyle = "#f3d9a4";
  pen.fillRect(0, 0, 64, 64);
  pen.strokeStyle = "#6b4a12";
  pen.lineWidth = 7;
  pen.beginPath();
  for (const x of [-64, 0, 64]) {
    pen.moveTo(x - 8, 72);
    pen.lineTo(x + 72, -8);
  }
  pen.stroke();
  const texture = new CanvasTexture(tile);
  texture.wrapS = texture.wrapT = RepeatWrapping;
  texture.colorSpace = SRGBColorSpace;
  return texture;
}

/** Counts walls behind each pixel: where the count is not even, the plane cuts metal. */
function counter(geometry, plane, side, operation) {
  const material = new MeshBasicMaterial({
    side, clippingPlanes: [plane], depthWrite: false, depthTest: false, colorWrite: false, stencilWrite: true,
    stencilFunc: AlwaysStencilFunc, stencilFail: operation, stencilZFail: operation, stencilZPass: operation,
  });
  const mesh = new Mesh(geometry, material);
  mesh.renderOrder = 1;
  return mesh;
}

function cap(size, plane) {
  const map = hatching();
  map.repeat.set(size / 3, size / 3);
  const material = new MeshBasicMaterial({
    map, side: FrontSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
    stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
  });
  const mesh = new Mesh(new PlaneGeometry(size, size), material);
  mesh.renderOrder = 2;
  mesh.onAfterRender = renderer => renderer.clearStencil();
  mesh.userData.follow = () => {
    mesh.position.set(0, mesh.position.y, plane.constant);
  };
  return mesh;
}

class Viewer {
  constructor(host, model) {
    this.host = host;
    this.canvas = host.querySelector("canvas");
    this.slider = host.querySelector("input[type=range]");
    this.still = document.getElementById("still");
    this.renderer = new WebGLRenderer({ canvas: this.canvas, antialias: true, alpha: true, stencil: true, preserveDrawingBuffer: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.setClearColor(0x000000, 0);
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(28, 1, 1, 2000);
    // Metal is kept where z < constant: the half towards the reader goes.
    this.plane = new Plane(new Vector3(0, 0, -1), 0);
    this.build(model);
    this.light();
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.enablePan = false;
    this.controls.minDistance = this.radius * 1.5;
    this.controls.maxDistance = this.radius * 12;
    this.controls.addEventListener("change", () => this.draw());
    this.slider.addEventListener("input", () => this.cut());
    this.canvas.addEventListener("keydown", event => this.key(event));
    for (const button of host.querySelectorAll("[data-view]"))
      button.addEventListener("click", () => this.view(button.dataset.view));
    new ResizeObserver(() => this.resize()).observe(this.canvas.parentElement);
    this.resize();
    this.view("section");
  }

  build(model) {
    const body = new Group();
    model.traverse(node => {
      if (!node.isMesh) return;
      const geometry = node.geometry.scale(millimetres, millimetres, millimetres);
      const material = node.material;
      material.clippingPlanes = [this.plane];
      const shell = new Mesh(geometry, material);
      shell.renderOrder = 3;
      const edges = new LineSegments(new EdgesGeometry(geometry, 24),
                                     new LineBasicMaterial({ color: 0x1b1f24, clippingPlanes: [this.plane] }));
      edges.renderOrder = 4;
      body.add(shell, edges, counter(geometry, this.plane, BackSide, IncrementWrapStencilOp),
               counter(geometry, this.plane, FrontSide, DecrementWrapStencilOp));
    });
    const box = new Box3().setFromObject(body), size = box.getSize(new Vector3());
    this.centre = box.getCenter(new Vector3());
    this.depth = size.z / 2;
    this.radius = size.length() / 2;
    this.cap = cap(2.2 * this.radius, this.plane);
    this.cap.position.y = this.centre.y;
    this.scene.add(body, this.cap);
  }

  /** Lamps that go with the eye, so that nothing looked at is ever dark. */
  light() {
    const key = new DirectionalLight(0xffffff, 2.6), fill = new DirectionalLight(0xffffff, 1.1);
    key.position.set(-0.6, 1, 0.9);
    fill.position.set(1, -0.5, 0.8);
    this.camera.add(key, key.target, fill, fill.target);
    for (const lamp of [key, fill]) lamp.target.position.set(0, 0, -1);
    this.scene.add(this.camera, new HemisphereLight(0xffffff, 0x8a8f98, 1.2), new AmbientLight(0xffffff, 0.35));
  }

  /** Slider 0: whole; 100: nothing but the last sliver gone. */
  cut() {
    const part = Number(this.slider.value) / 100;
    this.plane.constant = part === 0 ? this.depth * 1.01 : this.depth * (1 - 2 * part);
    this.slider.setAttribute("aria-valuetext", part === 0 ? "whole" : `${Math.round(100 * part)} % cut away`);
    this.cap.visible = part > 0;
    this.cap.userData.follow();
    this.draw();
  }

  view(name) {
    const at = { section: [0.42, 0.3, 1], chamber: [0.35, -0.85, 0.75], top: [0.3, 0.95, 0.8] }[name];
    this.slider.value = name === "section" ? 50 : 0;
    const away = new Vector3(...at).normalize().multiplyScalar(this.distance());
    this.camera.position.copy(this.centre).add(away);
    this.controls.target.copy(this.centre);
    this.controls.update();
    this.cut();
  }

  distance() {
    const half = Math.tan((this.camera.fov / 2) * Math.PI / 180) * Math.min(1, this.camera.aspect / 1.25);
    return (0.92 * this.depth) / half + this.depth * 0.4;
  }

  key(event) {
    const turn = 0.12, step = { ArrowLeft: [turn, 0], ArrowRight: [-turn, 0], ArrowUp: [0, -turn], ArrowDown: [0, turn] }[event.key];
    const zoom = { "+": 0.9, "=": 0.9, "-": 1 / 0.9 }[event.key];
    if (step) this.turn(...step);
    else if (zoom) this.zoom(zoom);
    else if (event.key === "Home") this.view("section");
    else return;
    event.preventDefault();
  }

  turn(around, over) {
    const eye = this.camera.position.clone().sub(this.centre), length = eye.length();
    const polar = Math.min(Math.max(Math.acos(eye.y / length) + over, 0.02), Math.PI - 0.02);
    const azimuth = Math.atan2(eye.x, eye.z) + around;
    eye.set(Math.sin(polar) * Math.sin(azimuth), Math.cos(polar), Math.sin(polar) * Math.cos(azimuth));
    this.camera.position.copy(this.centre).addScaledVector(eye, length);
    this.controls.update();
  }

  zoom(by) {
    const eye = this.camera.position.clone().sub(this.centre);
    const length = Math.min(Math.max(eye.length() * by, this.controls.minDistance), this.controls.maxDistance);
    this.camera.position.copy(this.centre).add(eye.setLength(length));
    this.controls.update();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.canvas.parentElement;
    if (!width || !height) return; // not on screen: printing
    this.renderer.setPixelRatio(2); // twice as fine as a plain screen: smooth edges where the browser offers none
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.renderer.render(this.scene, this.camera);
      clearTimeout(this.settling);
      this.settling = setTimeout(() => this.photograph(), 250);
    });
  }

  /** Paper gets a picture of what was looked at last. */
  photograph() {
    this.still.src = this.canvas.toDataURL("image/png");
    this.host.dataset.ready = "yes";
  }
}

async function start() {
  const host = document.getElementById("viewer"), data = document.getElementById("glb");
  if (!host || !data) return;
  try {
    const bytes = Uint8Array.from(atob(data.textContent.trim()), c => c.charCodeAt(0));
    const unpacked = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    const { scene } = await new GLTFLoader().parseAsync(await new Response(unpacked).arrayBuffer(), "");
    host.hidden = false;
    new Viewer(host, scene);
    document.getElementById("no-3d").hidden = true;
  } catch {
    host.hidden = true; // no WebGL: the notice stays, and the drawings say the same
  }
}

start();

// A small viewer of binary glTF on WebGL 2: turn, come nearer, name what is pointed at, hide, pull apart.
// Millimetres, Z up, as the nodes below the file's root have it.

const VERTEX = `#version 300 es
in vec3 position; in vec3 normal; uniform mat4 view; uniform mat4 place; uniform vec3 offset; out vec3 n; out vec3 p;
void main() { vec4 at = place * vec4(position, 1.0); p = at.xyz + offset; n = mat3(place) * normal; gl_Position = view * vec4(p, 1.0); }`;
const FRAGMENT = `#version 300 es
precision highp float; in vec3 n; in vec3 p; uniform vec3 colour; uniform vec3 eye; uniform float metal; uniform float lit; uniform float flatColour; out vec4 ink;
void main() {
  if (flatColour > 0.5) { ink = vec4(colour, 1.0); return; }
  vec3 m = normalize(n), v = normalize(eye - p), sun = normalize(vec3(0.35, -0.55, 0.76));
  if (dot(m, v) < 0.0) m = -m;
  float day = 0.42 + 0.16 * m.z + 0.5 * max(dot(m, sun), 0.0);
  float shine = pow(max(dot(reflect(-sun, m), v), 0.0), 24.0) * mix(0.08, 0.55, metal);
  vec3 c = colour * day + shine + lit * vec3(0.25, 0.12, 0.0);
  ink = vec4(pow(c, vec3(1.0 / 2.2)), 1.0);
}`;
const START = { yaw: -2.2, pitch: 0.42, away: 1.0 };

// The parts of a .glb: name, colour (linear), metal, matrix, points, normals, triangles.
export function parts(buffer) {
  const head = new DataView(buffer), size = head.getUint32(12, true);
  const model = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, size)));
  const start = 20 + size + 8;
  const numbers = (index, Kind) => {
    const one = model.accessors[index], view = model.bufferViews[one.bufferView];
    return new Kind(buffer, start + view.byteOffset, one.count * (one.type === "VEC3" ? 3 : 1));
  };
  return model.nodes.filter((node) => node.mesh !== undefined).map((node) => {
    const shape = model.meshes[node.mesh].primitives[0], finish = model.materials[shape.material].pbrMetallicRoughness;
    return {
      name: node.name, of: node.extras?.of, group: node.extras?.group ?? node.name, title: node.extras?.title, colour: finish.baseColorFactor.slice(0, 3), metal: finish.metallicFactor,
      matrix: node.matrix ?? [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
      points: numbers(shape.attributes.POSITION, Float32Array), normals: numbers(shape.attributes.NORMAL, Float32Array),
      triangles: numbers(shape.indices, Uint32Array),
    };
  });
}

export const called = (part) => (part.title ? `${part.name.replaceAll("_", " ")}: ${part.title}` : part.name.replaceAll("_", " "));

export class Viewer {
  constructor(canvas, named) {
    this.canvas = canvas;
    this.named = named;
    this.gl = canvas.getContext("webgl2", { antialias: true, preserveDrawingBuffer: true });
    this.turn = { ...START };
    this.apart = 0;
    this.shown = [];
    this.pointed = -1;
    if (this.gl) { this.program(); this.hands(); }
  }

  get works() { return Boolean(this.gl); }

  program() {
    const gl = this.gl, program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    gl.useProgram(program);
    gl.enable(gl.DEPTH_TEST);
    this.at = Object.fromEntries(["view", "place", "offset", "colour", "eye", "metal", "lit", "flatColour"].map((name) => [name, gl.getUniformLocation(program, name)]));
    this.slots = { position: gl.getAttribLocation(program, "position"), normal: gl.getAttribLocation(program, "normal") };
  }

  // Show these parts; the view stays as it was turned.
  show(found, hidden) {
    const gl = this.gl;
    for (const part of this.shown) { gl.deleteVertexArray(part.array); part.buffers.forEach((buffer) => gl.deleteBuffer(buffer)); }
    this.shown = found.map((part) => this.loaded(part));
    this.hide(hidden);
    this.frame();
    this.draw();
  }

  loaded(part) {
    const gl = this.gl, array = gl.createVertexArray(), buffers = [];
    gl.bindVertexArray(array);
    const fill = (target, data) => { const buffer = gl.createBuffer(); gl.bindBuffer(target, buffer); gl.bufferData(target, data, gl.STATIC_DRAW); buffers.push(buffer); };
    for (const [name, data] of [["position", part.points], ["normal", part.normals]]) {
      fill(gl.ARRAY_BUFFER, data);
      gl.enableVertexAttribArray(this.slots[name]);
      gl.vertexAttribPointer(this.slots[name], 3, gl.FLOAT, false, 0, 0);
    }
    fill(gl.ELEMENT_ARRAY_BUFFER, part.triangles);
    gl.bindVertexArray(null);
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity], m = part.matrix;
    for (let i = 0; i < part.points.length; i += 3) for (let k = 0; k < 3; k += 1) {
      const value = m[k] * part.points[i] + m[4 + k] * part.points[i + 1] + m[8 + k] * part.points[i + 2] + m[12 + k];
      low[k] = Math.min(low[k], value);
      high[k] = Math.max(high[k], value);
    }
    return { ...part, array, buffers, low, high, hidden: false };
  }

  hide(names) { for (const part of this.shown) part.hidden = names.has(part.name); this.draw(); }

  // Look at the middle of what shows.
  frame() {
    const seen = this.shown.filter((part) => !part.hidden), all = seen.length ? seen : this.shown;
    const low = [0, 1, 2].map((k) => Math.min(...all.map((part) => part.low[k]))), high = [0, 1, 2].map((k) => Math.max(...all.map((part) => part.high[k])));
    this.middle = low.map((value, k) => (value + high[k]) / 2);
    this.size = Math.hypot(...low.map((value, k) => high[k] - value)) || 1;
  }

  home() { this.turn = { ...START }; this.frame(); this.draw(); }

  camera() {
    const { yaw, pitch, away } = this.turn, far = this.size * 1.35 * away * (1 + 0.75 * this.apart);
    const eye = [Math.cos(yaw) * Math.cos(pitch), Math.sin(yaw) * Math.cos(pitch), Math.sin(pitch)].map((value, k) => this.middle[k] + far * value);
    const wide = this.canvas.width / this.canvas.height;
    return { eye, view: product(perspective(0.62 / Math.min(1, wide), wide, far / 60, far + 3 * this.size * (1 + this.apart)), look(eye, this.middle)) };
  }

  draw() { if (!this.waiting) this.waiting = requestAnimationFrame(() => { this.waiting = 0; this.paint(false); }); }

  paint(names) {
    const gl = this.gl, sharp = Math.min(devicePixelRatio, 2);
    const width = Math.round(this.canvas.clientWidth * sharp), height = Math.round(this.canvas.clientHeight * sharp);
    if (!width || !height || !this.shown.length) return;
    if (this.canvas.width !== width || this.canvas.height !== height) { this.canvas.width = width; this.canvas.height = height; }
    const { eye, view } = this.camera();
    gl.viewport(0, 0, width, height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.uniformMatrix4fv(this.at.view, false, view);
    gl.uniform3fv(this.at.eye, eye);
    gl.uniform1f(this.at.flatColour, names ? 1 : 0);
    this.shown.forEach((part, number) => { if (!part.hidden) this.ink(part, number, names); });
    gl.bindVertexArray(null);
  }

  ink(part, number, names) {
    const gl = this.gl;
    gl.uniformMatrix4fv(this.at.place, false, part.matrix);
    gl.uniform3fv(this.at.offset, part.low.map((value, k) => ((value + part.high[k]) / 2 - this.middle[k]) * this.apart));
    gl.uniform3fv(this.at.colour, names ? [(number + 1) % 256 / 255, Math.floor((number + 1) / 256) / 255, 0] : part.colour);
    gl.uniform1f(this.at.metal, part.metal);
    gl.uniform1f(this.at.lit, number === this.pointed ? 1 : 0);
    gl.bindVertexArray(part.array);
    gl.drawElements(gl.TRIANGLES, part.triangles.length, gl.UNSIGNED_INT, 0);
  }

  // The part under a point of the canvas, -1 for none: painted once in numbers instead of colours.
  under(x, y) {
    const gl = this.gl, scale = this.canvas.width / this.canvas.clientWidth, pixel = new Uint8Array(4);
    this.paint(true);
    gl.readPixels(Math.round(x * scale), Math.round(this.canvas.height - y * scale), 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
    this.paint(false);
    return pixel[3] ? pixel[0] + 256 * pixel[1] - 1 : -1;
  }

  point(number) {
    if (number === this.pointed) return;
    this.pointed = number;
    this.named.textContent = number < 0 ? "" : called(this.shown[number]);
    this.draw();
  }

  move(yaw, pitch, away = 1) {
    const turn = this.turn;
    turn.yaw += yaw;
    turn.pitch = Math.max(-1.5, Math.min(1.5, turn.pitch + pitch));
    turn.away = Math.max(0.15, Math.min(4, turn.away * away));
    this.draw();
  }

  hands() {
    const down = new Map(), canvas = this.canvas;
    const spread = () => { const [a, b] = [...down.values()]; return Math.hypot(a.x - b.x, a.y - b.y); };
    canvas.addEventListener("pointerdown", (event) => { canvas.setPointerCapture(event.pointerId); down.set(event.pointerId, { x: event.offsetX, y: event.offsetY }); });
    canvas.addEventListener("pointermove", (event) => {
      const was = down.get(event.pointerId);
      if (!was) { if (event.pointerType === "mouse") this.point(this.under(event.offsetX, event.offsetY)); return; }
      const before = down.size === 2 ? spread() : 0;
      down.set(event.pointerId, { x: event.offsetX, y: event.offsetY });
      if (down.size === 2) this.move(0, 0, before / Math.max(1, spread()));
      else this.move(-(event.offsetX - was.x) * 0.008, (event.offsetY - was.y) * 0.008);
    });
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => {
      if (down.size === 1 && event.pointerType === "touch") this.point(this.under(event.offsetX, event.offsetY));
      down.delete(event.pointerId);
    });
    canvas.addEventListener("wheel", (event) => { event.preventDefault(); this.move(0, 0, Math.exp(event.deltaY * 0.001)); }, { passive: false });
    const keys = { ArrowLeft: [0.12, 0], ArrowRight: [-0.12, 0], ArrowUp: [0, 0.12], ArrowDown: [0, -0.12], "+": [0, 0, 0.9], "=": [0, 0, 0.9], "-": [0, 0, 1.1] };
    canvas.addEventListener("keydown", (event) => {
      if (event.key === "Home") this.home(); else if (keys[event.key]) this.move(...keys[event.key]); else return;
      event.preventDefault();
    });
    new ResizeObserver(() => this.draw()).observe(canvas);
  }
}

// Matrices, column by column.
function perspective(angle, wide, near, far) {
  const f = 1 / Math.tan(angle / 2);
  return [f / wide, 0, 0, 0, 0, f, 0, 0, 0, 0, (far + near) / (near - far), -1, 0, 0, 2 * far * near / (near - far), 0];
}
function look(eye, at) {
  const z = unit(eye.map((value, k) => value - at[k])), x = unit(cross([0, 0, 1], z)), y = cross(z, x);
  const back = (axis) => -(axis[0] * eye[0] + axis[1] * eye[1] + axis[2] * eye[2]);
  return [x[0], y[0], z[0], 0, x[1], y[1], z[1], 0, x[2], y[2], z[2], 0, back(x), back(y), back(z), 1];
}
function product(a, b) {
  return Array.from({ length: 16 }, (_, i) => [0, 1, 2, 3].reduce((sum, k) => sum + a[k * 4 + i % 4] * b[Math.floor(i / 4) * 4 + k], 0));
}
function unit(v) { const size = Math.hypot(...v); return v.map((value) => value / size); }
function cross(a, b) { return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]; }

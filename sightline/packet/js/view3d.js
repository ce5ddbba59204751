// The 3D pane: the act on its mark, turned about or looked at from a seat. Absent, and said so, without WebGL.

const CREASE = Math.cos(40 * Math.PI / 180);

function webglWorks() {
  try {
    const probe = document.createElement("canvas");
    return Boolean(probe.getContext("webgl2"));
  } catch {
    return false;
  }
}

// Corners of their own for every face, with a normal smoothed over neighbours that meet without a crease.
function shadedGeometry(piece) {
  const {at, faces} = piece, count = faces.length, position = new Float32Array(3 * count), normal = new Float32Array(3 * count);
  const flat = new Float32Array(count), sums = new Map();
  const key = (i) => `${Math.round(at[3 * i] * 2e4)} ${Math.round(at[3 * i + 1] * 2e4)} ${Math.round(at[3 * i + 2] * 2e4)}`;
  const keys = Array.from({length: at.length / 3}, (_, i) => key(i));
  for (let f = 0; f < count; f += 3) {
    const [a, b, c] = [faces[f], faces[f + 1], faces[f + 2]];
    const u = [0, 1, 2].map((k) => at[3 * b + k] - at[3 * a + k]), v = [0, 1, 2].map((k) => at[3 * c + k] - at[3 * a + k]);
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    for (let j = 0; j < 3; j++) {
      const corner = faces[f + j];
      for (let k = 0; k < 3; k++) position[3 * (f + j) + k] = at[3 * corner + k];
      const sum = sums.get(keys[corner]) || [0, 0, 0];
      for (let k = 0; k < 3; k++) sum[k] += n[k];
      sums.set(keys[corner], sum);
    }
    for (let k = 0; k < 3; k++) flat[f + k] = n[k];
  }
  for (let f = 0; f < count; f += 3) {
    const long = Math.hypot(flat[f], flat[f + 1], flat[f + 2]) || 1;
    for (let j = 0; j < 3; j++) {
      const sum = sums.get(keys[faces[f + j]]), size = Math.hypot(...sum) || 1;
      const dot = (sum[0] * flat[f] + sum[1] * flat[f + 1] + sum[2] * flat[f + 2]) / (size * long);
      for (let k = 0; k < 3; k++) normal[3 * (f + j) + k] = dot > CREASE ? sum[k] / size : flat[f + k] / long;
    }
  }
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.BufferAttribute(position, 3));
  geometry.setAttribute("normal", new THREE.BufferAttribute(normal, 3));
  if (piece.paint) {
    const colour = new Float32Array(3 * count), one = new THREE.Color();
    for (let f = 0; f < count; f++) {
      const [r, g, b] = piece.paint.subarray(3 * faces[f], 3 * faces[f] + 3);
      one.setRGB(r / 255, g / 255, b / 255, THREE.SRGBColorSpace).toArray(colour, 3 * f);
    }
    geometry.setAttribute("color", new THREE.BufferAttribute(colour, 3));
  }
  return geometry;
}

function drawnPiece(piece, marked) {
  if (!piece.faces) {
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(piece.at, 3));
    const line = new THREE.Line(geometry, new THREE.LineBasicMaterial({color: marked}));
    line.userData.onlyMarked = true;
    return line;
  }
  const own = new THREE.MeshLambertMaterial({color: piece.paint ? 0xffffff : piece.colour, vertexColors: Boolean(piece.paint), side: THREE.DoubleSide});
  const mesh = new THREE.Mesh(shadedGeometry(piece), own);
  if (piece.secret === 1) {
    mesh.userData.own = own;
    mesh.userData.marked = new THREE.MeshLambertMaterial({color: marked, emissive: marked, emissiveIntensity: 0.35, side: THREE.DoubleSide});
    // An opening's inside has no colour of its own: it is dark, and is drawn only when it is marked.
    if (piece.inside) mesh.userData.onlyMarked = true;
  }
  return mesh;
}

function view3d(box, data, pieces, setting) {
  const renderer = new THREE.WebGLRenderer({antialias: true, preserveDrawingBuffer: true});
  renderer.setPixelRatio(Math.min(devicePixelRatio || 1, 2));
  const canvas = renderer.domElement;
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "img");
  box.append(canvas);
  const scene = new THREE.Scene(), act = new THREE.Group(), house = new THREE.Group();
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const background = () => { scene.background = new THREE.Color(dark.matches ? data.colours.backdropDark : data.colours.backdrop); };
  background();
  scene.add(new THREE.HemisphereLight(0xffffff, 0x9a9286, 2.1));
  for (const [x, y, z, strength] of [[2, -4, 4, 1.5], [-4, -3, 2, 0.6], [0, 5, 3, 0.35]]) {
    const lamp = new THREE.DirectionalLight(0xffffff, strength);
    lamp.position.set(x, y, z);
    scene.add(lamp);
  }
  scene.add(act, house);
  for (const piece of setting) house.add(drawnPiece(piece, data.colours.marked));
  const {x, y, z} = data.eyes, dots = new THREE.InstancedMesh(new THREE.SphereGeometry(0.11, 8, 6), new THREE.MeshBasicMaterial(), x.length);
  for (let i = 0; i < x.length; i++) dots.setMatrixAt(i, new THREE.Matrix4().makeTranslation(x[i], y[i], z[i]));
  scene.add(dots);
  const camera = new THREE.PerspectiveCamera(40, 1.5, 0.05, 300);
  camera.up.set(0, 0, 1);
  const controls = new THREE.OrbitControls(camera, canvas);
  controls.maxPolarAngle = 0.52 * Math.PI;
  controls.minDistance = 0.8;
  controls.maxDistance = 45;
  let waiting = false, seat = -1, wide = 1, drawn = null, focus = [0, 0, 1.2];
  const groups = new Map();
  const render = () => {
    waiting = false;
    renderer.render(scene, camera);
  };
  const ask = () => { if (!waiting) { waiting = true; requestAnimationFrame(render); } };
  controls.addEventListener("change", ask);
  dark.addEventListener("change", () => { background(); ask(); });
  const fit = () => {
    const across = box.clientWidth, down = Math.max(220, Math.round(across * 0.66));
    renderer.setSize(across, down);
    camera.aspect = across / down;
    camera.updateProjectionMatrix();
    ask();
  };
  new ResizeObserver(fit).observe(box);
  const target = () => new THREE.Vector3(...focus).applyEuler(act.rotation).add(act.position);
  const sit = () => {
    if (seat < 0) return;
    const to = target();
    camera.position.set(x[seat], y[seat], z[seat]);
    camera.lookAt(to);
    const away = camera.position.distanceTo(to);
    camera.fov = Math.min(80, Math.max(2, 2 * Math.atan(1.25 * wide / away) * 180 / Math.PI));
    camera.updateProjectionMatrix();
  };
  const orbit = () => {
    const to = target();
    camera.fov = 40;
    camera.position.set(to.x + 1.6, to.y - 3.6, to.z + 0.9);
    controls.target.copy(to);
    camera.updateProjectionMatrix();
    controls.update();
  };
  canvas.addEventListener("keydown", (event) => {
    const turn = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[event.key];
    if (!turn || seat >= 0) return;
    event.preventDefault();
    const away = camera.position.clone().sub(controls.target), flat = Math.hypot(away.x, away.y);
    const bearing = Math.atan2(away.y, away.x) + turn[0] * 0.15, rise = Math.atan2(away.z, flat) + turn[1] * 0.1, far = away.length();
    const up = Math.min(1.3, Math.max(-0.2, rise));
    camera.position.set(Math.cos(bearing) * Math.cos(up), Math.sin(bearing) * Math.cos(up), Math.sin(up)).multiplyScalar(far).add(controls.target);
    controls.update();
    ask();
  });
  canvas.addEventListener("wheel", (event) => {
    if (seat < 0) return;
    event.preventDefault();
    wide = Math.min(12, Math.max(0.3, wide * Math.exp(event.deltaY * 0.001)));
    sit(); ask();
  }, {passive: false});
  let marking = true;
  const paint = () => act.traverse((mesh) => {
    if (mesh.userData.marked) mesh.material = marking ? mesh.userData.marked : mesh.userData.own;
    if (mesh.userData.onlyMarked) mesh.visible = marking;
  });
  return {
    canvas,
    // Put a staging on a mark; only what is new is built.
    show(index, mark, facing) {
      if (drawn !== index) {
        if (!groups.has(index)) {
          const group = new THREE.Group();
          for (const piece of pieces(index)) group.add(drawnPiece(piece, data.colours.marked));
          groups.set(index, group);
        }
        act.clear();
        act.add(groups.get(index));
        drawn = index;
        focus = data.acts[index].focus;
        paint();
      }
      const was = target();
      act.position.set(mark[0], mark[1], 0);
      act.rotation.set(0, 0, facing * Math.PI / 180);
      if (seat >= 0) sit();
      else {
        const by = target().sub(was);
        camera.position.add(by);
        controls.target.add(by);
        controls.update();
      }
      ask();
    },
    colour(verdict, size, colourOf) {
      const colour = new THREE.Color();
      for (let i = 0; i < verdict.length; i++) dots.setColorAt(i, colour.set(colourOf(verdict[i], size[i])));
      if (dots.instanceColor) dots.instanceColor.needsUpdate = true;
      ask();
    },
    enter(i) {
      seat = i;
      controls.enabled = i < 0;
      dots.visible = i < 0;
      if (i < 0) orbit(); else sit();
      ask();
    },
    widen(factor) { wide = factor; sit(); ask(); },
    mark(on) { marking = on; paint(); ask(); },
    label(text) { canvas.setAttribute("aria-label", text); },
    seat: () => seat,
  };
}

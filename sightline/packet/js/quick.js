// The quick answer: every eye, every secret, from the direction fields alone. The twin of packet/quick.py.

// A value between the corners of an octahedral map that begins at `start`, for a direction of any length.
function lookedUp(values, start, side, x, y, z) {
  const total = Math.abs(x) + Math.abs(y) + Math.abs(z);
  let u = x / total, v = y / total;
  if (z < 0) {
    const was = u;
    u = (1 - Math.abs(v)) * (u < 0 ? -1 : 1);
    v = (1 - Math.abs(was)) * (v < 0 ? -1 : 1);
  }
  const across = (u + 1) * side / 2, down = (v + 1) * side / 2;
  const column = Math.min(across | 0, side - 1), row = Math.min(down | 0, side - 1);
  const a = across - column, b = down - row, at = start + row * (side + 1) + column;
  const near = values[at] * (1 - a) + values[at + 1] * a;
  const far = values[at + side + 1] * (1 - a) + values[at + side + 2] * a;
  return near * (1 - b) + far * b;
}

// Where the pieces of a field are on the stage.
function placedCentres(field, mark, cos, sin) {
  const out = new Float64Array(field.centres.length);
  for (let i = 0; i < out.length; i += 3) {
    const x = field.centres[i], y = field.centres[i + 1];
    out[i] = cos * x - sin * y + mark[0];
    out[i + 1] = sin * x + cos * y + mark[1];
    out[i + 2] = field.centres[i + 2];
  }
  return out;
}

// One secret from one place of an eye, in the act's frame. Leaves size in arcmin and the widest edge in `seenAs`.
const seenAs = {verdict: 0, arcmin: 0, edge: -99};

function judged(field, centres, x, y, z, eye, asked, scenery, rules) {
  const {edge, side, most, size, pieces} = field, whole = (side + 1) ** 2, half = side / 2, quarter = (half + 1) ** 2;
  const doubt = -rules.doubt / rules.step;
  let widest = -99, sum = 0, near = 0, shown = 0;
  for (let k = 0; k < pieces; k++) {
    const dx = x - field.centres[3 * k], dy = y - field.centres[3 * k + 1], dz = z - field.centres[3 * k + 2];
    const value = lookedUp(edge, k * whole, side, dx, dy, dz);
    if (value > widest) widest = value;
    if (value <= doubt) continue;
    if (asked && standsBetween(scenery, 0, centres[3 * k], centres[3 * k + 1], centres[3 * k + 2], eye[0], eye[1], eye[2])) continue;
    const distance = Math.sqrt(dx * dx + dy * dy + dz * dz);
    shown++;
    near += distance;
    // Of what moves the size is about right only: the share of the piece grows with the way from the edge.
    const share = size ? (lookedUp(size, k * quarter, half, dx, dy, dz) / 255) ** 2 : Math.min(1, (value - doubt) / 6);
    sum += most[k] * share / (field.line ? distance : distance * distance);
  }
  seenAs.edge = widest;
  seenAs.verdict = 0;
  seenAs.arcmin = 0;
  if (!shown) return;
  const width = field.width / (near / shown) * ARCMIN;
  const run = field.line ? sum * ARCMIN : 0;
  seenAs.arcmin = field.line && !field.moves ? 2 * Math.sqrt(run * width / Math.PI) : discArcmin(sum);
  if (field.moves) seenAs.verdict = 2;
  else if (field.line) seenAs.verdict = lineNoticed(width, run, field.contrast, eye[3], eye[4], rules) ? 2 : 1;
  else seenAs.verdict = spotNoticed(seenAs.arcmin, field.contrast, eye[3], rules) ? 2 : 1;
}

// The whole house with the performer on a mark. `at` are the eyes (x, y, z one after another) on the stage.
function quickAnswer(act, at, eyes, secrets, scenery, mark, facing, rules) {
  const count = at.length / 3, cos = Math.cos(facing), sin = Math.sin(facing);
  const verdicts = secrets.map(() => new Uint8Array(count)), size = new Float32Array(count);
  const fields = act.fields.map((field) => ({field, centres: placedCentres(field, mark, cos, sin), of: secrets.indexOf(field.name)}));
  const [fx, fy, fz] = act.focus, [low, high] = act.near;
  const sx = cos * fx - sin * fy + mark[0], sy = sin * fx + cos * fy + mark[1];
  const eye = new Float64Array(5);
  for (let i = 0; i < count; i++) {
    const ex = at[3 * i] - mark[0], ey = at[3 * i + 1] - mark[1], z = at[3 * i + 2];
    const x = cos * ex + sin * ey, y = cos * ey - sin * ex;
    if (x > low[0] && x < high[0] && y > low[1] && y < high[1] && z > low[2] && z < high[2]) {
      // Too near for a direction to tell: doubt goes against the plan.
      for (const one of verdicts) one[i] = 2;
      size[i] = 600;
      continue;
    }
    eye[0] = at[3 * i]; eye[1] = at[3 * i + 1]; eye[2] = z; eye[3] = eyes.spot[i]; eye[4] = eyes.line[i];
    const away = Math.hypot(fx - x, fy - y, fz - z);
    const stray = eyes.sways[i] ? rules.side + rules.up : 0;
    const asked = standsBetween(scenery, act.reach + stray, sx, sy, fz, eye[0], eye[1], eye[2]);
    // To the eye's right hand in the act's frame, level.
    const flat = Math.hypot(fx - x, fy - y) || 1, rx = (fy - y) / flat, ry = -(fx - x) / flat;
    for (const {field, centres, of} of fields) {
      judged(field, centres, x, y, z, eye, asked, scenery, rules);
      let verdict = seenAs.verdict, arcmin = seenAs.arcmin;
      // Leaning cannot help where the edge is farther than the head moves.
      const reachable = seenAs.edge * rules.step + Math.atan(stray / Math.max(away - act.reach, 0.1)) > -rules.doubt;
      if (stray && verdict < 2 && reachable) {
        for (let k = 0; k < 4 && verdict < 2; k++) {
          const side = k === 0 ? rules.side : k === 1 ? -rules.side : 0, up = k === 2 ? rules.up : k === 3 ? -rules.up : 0;
          const mx = rx * side, my = ry * side;
          eye[0] = at[3 * i] + cos * mx - sin * my; eye[1] = at[3 * i + 1] + sin * mx + cos * my; eye[2] = z + up;
          judged(field, centres, x + mx, y + my, z + up, eye, asked, scenery, rules);
          verdict = Math.max(verdict, seenAs.verdict);
          arcmin = Math.max(arcmin, seenAs.arcmin);
        }
        eye[0] = at[3 * i]; eye[1] = at[3 * i + 1]; eye[2] = z;
      }
      verdicts[of][i] = verdict;
      if (arcmin > size[i]) size[i] = arcmin;
    }
  }
  return {verdicts, size};
}

// Of two answers the worse for every eye and secret.
function worseOf(one, other) {
  return {
    verdicts: one.verdicts.map((verdict, s) => verdict.map((v, i) => Math.max(v, other.verdicts[s][i]))),
    size: one.size.map((v, i) => Math.max(v, other.size[i])),
  };
}

function worstVerdict(answer, secret) {
  if (secret >= 0) return answer.verdicts[secret];
  const out = new Uint8Array(answer.size.length);
  for (const verdict of answer.verdicts) for (let i = 0; i < out.length; i++) if (verdict[i] > out[i]) out[i] = verdict[i];
  return out;
}

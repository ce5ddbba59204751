// What stands still and hides: triangles in boxes within boxes, asked whether they stand between two points.

const LEAF = 4;

function sceneryOf(pieces) {
  const corners = [];
  for (const piece of pieces) {
    if (!piece.faces) continue;
    for (const i of piece.faces) corners.push(piece.at[3 * i], piece.at[3 * i + 1], piece.at[3 * i + 2]);
  }
  const tri = Float64Array.from(corners), count = tri.length / 9;
  const order = Array.from({length: count}, (_, i) => i);
  const middle = (i, k) => tri[9 * i + k] + tri[9 * i + 3 + k] + tri[9 * i + 6 + k];
  const boxes = [], left = [], first = [], size = [];
  const build = (from, to) => {
    const node = left.length, box = [1e9, 1e9, 1e9, -1e9, -1e9, -1e9];
    for (let n = from; n < to; n++) {
      for (let j = 0; j < 9; j++) {
        const value = tri[9 * order[n] + j], k = j % 3;
        if (value < box[k]) box[k] = value;
        if (value > box[3 + k]) box[3 + k] = value;
      }
    }
    boxes.push(...box); left.push(0); first.push(from); size.push(to - from);
    if (to - from > LEAF) {
      const widths = [0, 1, 2].map((k) => box[3 + k] - box[k]), axis = widths.indexOf(Math.max(...widths));
      const part = order.slice(from, to).sort((a, b) => middle(a, axis) - middle(b, axis) || a - b);
      for (let n = from; n < to; n++) order[n] = part[n - from];
      size[node] = 0;
      build(from, (from + to) >> 1);
      left[node] = left.length;
      build((from + to) >> 1, to);
    }
    return node;
  };
  if (count) build(0, count);
  return {tri, order: Int32Array.from(order), boxes: Float64Array.from(boxes), left: Int32Array.from(left),
    first: Int32Array.from(first), size: Int32Array.from(size), stack: new Int32Array(128)};
}

// Whether the line from a to b passes within `wide` of a box; `inv` are 1 / step, `t` runs over the open line.
function meetsBox(boxes, at, wide, ax, ay, az, ix, iy, iz) {
  let low = 0, high = 1;
  let one = (boxes[at] - wide - ax) * ix, two = (boxes[at + 3] + wide - ax) * ix;
  low = Math.max(low, Math.min(one, two)); high = Math.min(high, Math.max(one, two));
  one = (boxes[at + 1] - wide - ay) * iy; two = (boxes[at + 4] + wide - ay) * iy;
  low = Math.max(low, Math.min(one, two)); high = Math.min(high, Math.max(one, two));
  one = (boxes[at + 2] - wide - az) * iz; two = (boxes[at + 5] + wide - az) * iz;
  low = Math.max(low, Math.min(one, two)); high = Math.min(high, Math.max(one, two));
  return low <= high;
}

const inverse = (step) => 1 / (Math.abs(step) < 1e-12 ? 1e-12 : step);

// Whether anything may stand in a tube of radius `wide` from a to b; with `wide` 0 whether it does.
function standsBetween(scenery, wide, ax, ay, az, bx, by, bz) {
  const {tri, order, boxes, left, first, size, stack} = scenery;
  if (!left.length) return false;
  const dx = bx - ax, dy = by - ay, dz = bz - az;
  const ix = inverse(dx), iy = inverse(dy), iz = inverse(dz);
  let top = 0;
  stack[top++] = 0;
  while (top) {
    const node = stack[--top];
    if (!meetsBox(boxes, 6 * node, wide, ax, ay, az, ix, iy, iz)) continue;
    if (!size[node]) { stack[top++] = left[node]; stack[top++] = node + 1; continue; }
    for (let n = first[node]; n < first[node] + size[node]; n++) {
      if (wide ? nearTriangle(tri, 9 * order[n], wide, ax, ay, az, ix, iy, iz)
               : crosses(tri, 9 * order[n], ax, ay, az, dx, dy, dz)) return true;
    }
  }
  return false;
}

function nearTriangle(tri, at, wide, ax, ay, az, ix, iy, iz) {
  const box = nearTriangle.box;
  for (let k = 0; k < 3; k++) {
    box[k] = Math.min(tri[at + k], tri[at + 3 + k], tri[at + 6 + k]);
    box[3 + k] = Math.max(tri[at + k], tri[at + 3 + k], tri[at + 6 + k]);
  }
  return meetsBox(box, 0, wide, ax, ay, az, ix, iy, iz);
}
nearTriangle.box = new Float64Array(6);

// Where a line crosses a triangle (Moeller and Trumbore 1997), its ends left out.
function crosses(tri, at, ax, ay, az, dx, dy, dz) {
  const e1x = tri[at + 3] - tri[at], e1y = tri[at + 4] - tri[at + 1], e1z = tri[at + 5] - tri[at + 2];
  const e2x = tri[at + 6] - tri[at], e2y = tri[at + 7] - tri[at + 1], e2z = tri[at + 8] - tri[at + 2];
  const px = dy * e2z - dz * e2y, py = dz * e2x - dx * e2z, pz = dx * e2y - dy * e2x;
  const det = e1x * px + e1y * py + e1z * pz;
  if (Math.abs(det) < 1e-14) return false;
  const sx = ax - tri[at], sy = ay - tri[at + 1], sz = az - tri[at + 2];
  const u = (sx * px + sy * py + sz * pz) / det;
  if (u < 0 || u > 1) return false;
  const qx = sy * e1z - sz * e1y, qy = sz * e1x - sx * e1z, qz = sx * e1y - sy * e1x;
  const v = (dx * qx + dy * qy + dz * qz) / det;
  if (v < 0 || u + v > 1) return false;
  const t = (e2x * qx + e2y * qy + e2z * qz) / det;
  return t > 1e-5 && t < 1 - 1e-5;
}

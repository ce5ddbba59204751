// The plan: three shapes for three verdicts, each drawn as one path so that a large house recolours at once.

const UNITS_PER_M = 20;

// The shapes of all eyes, by class: hidden, faint, and the steps of the scale.
function markedPaths(px, py, radius, verdict, size, scale) {
  const out = Array.from({length: 2 + scale.steps}, () => []);
  const r = radius, low = Math.log(scale.low), wide = Math.log(scale.high) - low;
  for (let i = 0; i < verdict.length; i++) {
    const x = px[i], y = py[i];
    if (verdict[i] === 0) out[0].push(`M${x - r * .7} ${y}a${r * .7} ${r * .7} 0 1 0 ${r * 1.4} 0a${r * .7} ${r * .7} 0 1 0 ${-r * 1.4} 0`);
    else if (verdict[i] === 1) out[1].push(`M${x} ${y - r}l${r} ${r * 1.8}h${-2 * r}z`);
    else {
      const share = (Math.log(Math.max(size[i], scale.low)) - low) / wide;
      const bin = Math.min(scale.steps - 1, Math.max(0, Math.floor(share * scale.steps)));
      out[2 + bin].push(`M${x - r} ${y - r}h${2 * r}v${2 * r}h${-2 * r}z`);
    }
  }
  return out.map((parts) => parts.join(""));
}

function planOf(svg, data) {
  const {px, py, radius} = data.plan, layers = [...svg.querySelectorAll("[data-layer]")];
  const performer = svg.querySelector("[data-part=performer]"), chosen = svg.querySelector("[data-part=chosen]");
  const changed = svg.querySelector("[data-part=changed]");
  const toPlan = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return {
    toPlan,
    draw(verdict, size) {
      markedPaths(px, py, radius, verdict, size, data.scale).forEach((d, k) => layers[k].setAttribute("d", d));
    },
    place(mark, facing) {
      if (performer) {
        performer.setAttribute("transform", `translate(${mark[0] * UNITS_PER_M} ${-mark[1] * UNITS_PER_M}) rotate(${-facing})`);
      }
    },
    choose(i) {
      chosen.setAttribute("transform", `translate(${px[i]} ${py[i]})`);
      chosen.removeAttribute("hidden");
    },
    ring(which) {
      const r = radius * 1.5;
      changed.setAttribute("d", which.map((i) => `M${px[i] - r} ${py[i]}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`).join(""));
    },
    nearest(point, most) {
      let best = -1, least = most * most;
      for (let i = 0; i < px.length; i++) {
        const away = (px[i] - point.x) ** 2 + (py[i] - point.y) ** 2;
        if (away < least) { least = away; best = i; }
      }
      return best;
    },
    // The eye next to `from` towards a side of the plan: near, and more ahead than aside.
    next(from, dx, dy) {
      let best = -1, least = Infinity;
      for (let i = 0; i < px.length; i++) {
        const x = px[i] - px[from], y = py[i] - py[from], ahead = x * dx + y * dy, aside = Math.abs(x * dy) + Math.abs(y * dx);
        if (ahead <= 0.5 || aside > ahead * 1.2) continue;
        const cost = ahead + 2 * aside;
        if (cost < least) { least = cost; best = i; }
      }
      return best;
    },
  };
}

// Drag performer or facing: `moved` is told a mark in metres, `turned` a facing in degrees.
function dragging(svg, plan, markNow, moved, turned) {
  for (const handle of svg.querySelectorAll("[data-drag]")) {
    handle.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      event.stopPropagation();
      handle.setPointerCapture(event.pointerId);
      const start = plan.toPlan(event), [x0, y0] = markNow();
      const move = (now) => {
        const point = plan.toPlan(now);
        if (handle.dataset.drag === "mark") {
          moved([x0 + (point.x - start.x) / UNITS_PER_M, y0 - (point.y - start.y) / UNITS_PER_M]);
        } else {
          const [x, y] = markNow();
          turned(Math.atan2(point.x / UNITS_PER_M - x, point.y / UNITS_PER_M + y) * 180 / Math.PI);
        }
      };
      const end = () => {
        handle.removeEventListener("pointermove", move);
        handle.removeEventListener("pointerup", end);
        handle.removeEventListener("pointercancel", end);
      };
      handle.addEventListener("pointermove", move);
      handle.addEventListener("pointerup", end);
      handle.addEventListener("pointercancel", end);
    });
  }
}

// The page: one state, and everything drawn from it.
const data = JSON.parse(document.getElementById("data").textContent);
const $ = (id) => document.getElementById(id);
const {eyes, moments, rules} = data;
const state = {kind: "moment", moment: 0, mark: moments[0].mark, facing: moments[0].facing, act: moments[0].act, secret: -1, eye: -1, at: null};
let acts = [], scenery = null, pane = null, answer = exactAnswer(0), lastTime = 0;
const at0 = Float64Array.from(eyes.x.flatMap((x, i) => [x, eyes.y[i], eyes.z[i]]));
const plan = planOf($("plan"), data);
const times = [];

function exactAnswer(index) {
  const moment = moments[index];
  return {exact: true, size: moment.size, verdicts: moment.verdicts.map((text) => Uint8Array.from(text, Number))};
}

// Where the eyes are with the performer elsewhere: a crowd that follows goes along (blocking/company.py).
function eyesAt(mark, facing) {
  const crowd = data.crowd;
  if (!crowd || !crowd.moving.length) return at0;
  const out = at0.slice(), turn = crowd.rings ? (facing - crowd.facing) * Math.PI / 180 : 0, cos = Math.cos(turn), sin = Math.sin(turn);
  for (const i of crowd.moving) {
    const dx = at0[3 * i] - crowd.mark[0], dy = at0[3 * i + 1] - crowd.mark[1];
    out[3 * i] = mark[0] + cos * dx - sin * dy;
    out[3 * i + 1] = mark[1] + sin * dx + cos * dy;
  }
  return out;
}

const canAsk = (act) => Boolean(acts[act] && acts[act].fields.length);

function ask(act, mark, facing, at = at0) {
  return quickAnswer(acts[act], at, eyes, data.secrets.map((s) => s.name), scenery, mark, facing * Math.PI / 180, rules);
}

// Work out the answer for the state, and draw it. The time of asking and drawing is kept.
function recolour() {
  const start = performance.now();
  if (state.kind === "moment") answer = exactAnswer(state.moment);
  else if (state.kind === "try") answer = {exact: false, ...ask(state.act, state.mark, state.facing)};
  else {
    const [, , , , before, after, moving] = state.frame, one = moments[before], other = moments[after];
    const at = eyesAt(state.mark, state.facing);
    let found = ask(one.act, state.mark, state.facing, at);
    if (after !== before && other.act !== one.act) found = worseOf(found, ask(other.act, state.mark, state.facing, at));
    // What moves while it shows is never faint.
    if (moving) for (const verdict of found.verdicts) verdict.forEach((v, i) => { if (v === 1) verdict[i] = 2; });
    answer = {exact: false, ...found};
  }
  const verdict = worstVerdict(answer, state.secret);
  plan.draw(verdict, answer.size);
  plan.place(state.mark, state.facing);
  lastTime = performance.now() - start;
  if (state.kind !== "moment") { times.push(lastTime); if (times.length > 200) times.shift(); }
  tell(verdict);
  if (pane) {
    pane.show(state.act, state.mark, state.facing);
    pane.colour(verdict, answer.size, (v, size) => (v === 2 ? data.colours.scale[binOf(size)] : v === 1 ? data.colours.faint : data.colours.hidden));
  }
}

function binOf(size) {
  const {low, high, steps} = data.scale;
  return Math.min(steps - 1, Math.max(0, Math.floor(Math.log(Math.max(size, low) / low) / Math.log(high / low) * steps)));
}

// Everything in words: the line under the plan, the seat's panel, the comparison, the text to keep.
function tell(verdict) {
  const seen = count(verdict, 2), faint = count(verdict, 1), total = verdict.length;
  const what = state.secret < 0 ? "a secret" : data.secrets[state.secret].name;
  const here = state.kind === "moment" ? moments[state.moment].name : state.kind === "time" ? `at ${state.clock}` : "tried mark";
  $("said").textContent = `${seen ? many(seen, ...data.nouns) : `No ${data.nouns[0]}`} of ${total} can see ${what}` + (faint ? `; for ${faint} more it is too faint to notice` : "") + ".";
  $("where").textContent = `${here}: ${markWords(state.mark, state.facing)}.`;
  $("kind").textContent = answer.exact ? "Exact: cast by rays, as sightline check does." : "Quick answer: confirm with sightline check.";
  $("kind").dataset.exact = String(answer.exact);
  const was = worstVerdict(exactAnswer(0), state.secret);
  const better = [], worse = [];
  for (let i = 0; i < total; i++) {
    if (was[i] === 2 && verdict[i] < 2) better.push(i);
    if (was[i] < 2 && verdict[i] === 2) worse.push(i);
  }
  const moved = !(state.kind === "moment" && state.moment === 0);
  plan.ring(moved ? [...better, ...worse] : []);
  $("before").textContent = many(count(was, 2), `${data.nouns[0]} sees it`, `${data.nouns[1]} see it`);
  $("after").textContent = moved ? many(seen, `${data.nouns[0]} sees it`, `${data.nouns[1]} see it`) : "the same mark: drag the performer, or choose another moment";
  $("gained").textContent = moved ? listed(better) : "-";
  $("lost").textContent = moved ? listed(worse) : "-";
  $("keep-text").value = keptText(data.title, state.mark, state.facing, $("note").value, $("initials").value, $("date").value);
  if (state.eye >= 0) tellSeat();
}

function tellSeat() {
  const i = state.eye, exactHere = state.kind === "moment" && state.moment === 0;
  const worst = worstVerdict(answer, -1)[i];
  $("seat-name").textContent = eyes.id[i];
  $("seat-kind").textContent = `${eyes.kind[i]}, eye ${eyes.z[i].toFixed(2)} m above the ${data.floor}, ` +
    `${Math.hypot(eyes.x[i] - state.mark[0], eyes.y[i] - state.mark[1]).toFixed(1)} m from the performer` + (eyes.weight[i] !== 1 ? `; stands for ${eyes.weight[i]} people` : "");
  $("seat-verdict").textContent = {0: "Every secret is hidden from here, in what was looked at.", 1: "Something reaches this seat, too faint to notice.", 2: "A secret can be seen from here."}[worst];
  $("seat-verdict").dataset.verdict = worst;
  const rows = data.secrets.map((secret, s) => {
    const verdict = answer.verdicts[s][i], found = exactHere ? data.details[s] : null;
    const cells = [secret.name, NAMES[verdict], "", ""];
    if (found && verdict) cells[2] = found.length ? `${found.length[i]} cm of it` : `${sizeWords(found.size[i])}, ${found.share[i]} %`;
    if (found && found.margin) cells[3] = verdict ? "none" : found.margin[i] === null ? "not known" : `${found.margin[i]} deg`;
    const how = found && verdict && found.pose[i] >= 0 ? data.poses[found.pose[i]] : "";
    return {cells, verdict, how, via: found && verdict && found.via[i] >= 0 ? data.mirrors[found.via[i]] : ""};
  });
  const body = $("seat-rows");
  body.replaceChildren(...rows.map(({cells, verdict, how, via}) => {
    const row = document.createElement("tr");
    cells.forEach((text, k) => {
      const cell = document.createElement(k ? "td" : "th");
      if (!k) cell.scope = "row";
      if (k === 1) { cell.className = "verdict"; cell.dataset.verdict = verdict; }
      cell.textContent = text || (k > 1 ? "-" : "");
      if (k === 2 && (how || via)) {
        const small = document.createElement("small");
        small.textContent = [how && `worst with the arm at '${how}'`, via && `in the mirror '${via}'`].filter(Boolean).join(", ");
        cell.append(small);
      }
      row.append(cell);
    });
    return row;
  }));
  $("seat-note").textContent = exactHere ? "" : answer.exact ? "Sizes and margins are given at the scene's own mark." : "Quick answer: confirm with sightline check. Sizes and margins are given at the scene's own mark.";
}

function choose(i, enter = true) {
  if (i < 0) return;
  state.eye = i;
  plan.choose(i);
  $("seat-pick").value = String(i);
  $("seat").hidden = false;
  tellSeat();
  $("heard").textContent = `${eyes.id[i]}: ${NAMES[worstVerdict(answer, -1)[i]]}.`;
  if (pane && enter) sit(i);
}

function sit(i) {
  pane.enter(i);
  const drawn = data.poses.length > 1 ? ` Drawn with the puppet at '${data.poses[0]}'; the verdicts are the worst of ${data.poses.length} poses.` : "";
  $("pane-words").textContent = (i < 0 ? "Orbiting: drag to turn, scroll to come near; or arrow keys." : `From ${eyes.id[i]}, looking at the act. Scroll or the slider to look wider.`) + drawn;
  pane.label(i < 0 ? "The act on its mark, seen from in front; arrow keys turn it." : `The act as seen from ${eyes.id[i]}.`);
  $("pane-orbit").setAttribute("aria-pressed", String(i < 0));
  $("pane-sit").setAttribute("aria-pressed", String(i >= 0));
  $("pane-wide").disabled = i < 0;
}

function goTo(index) {
  const moment = moments[index];
  Object.assign(state, {kind: "moment", moment: index, mark: moment.mark, facing: moment.facing, act: moment.act});
  inputsFollow();
  beatsFollow(moment.at);
  recolour();
}

function tryMark(mark, facing) {
  if (!canAsk(state.act)) return;
  const most = data.reachM, [mx, my] = moments[0].mark;
  state.kind = "try";
  state.mark = [Math.min(mx + most, Math.max(mx - most, mark[0])), Math.min(my + most, Math.max(my - most, mark[1]))].map((v) => Math.round(v * 100) / 100);
  state.facing = Math.round(((facing + 540) % 360 - 180) * 10) / 10;
  beatsFollow(null);
  recolour();
}

let waiting = null;
// Many moves of a pointer are one picture.
function soon(mark, facing) {
  const first = waiting === null;
  waiting = [mark, facing];
  if (first) requestAnimationFrame(() => { const [m, f] = waiting; waiting = null; tryMark(m, f); inputsFollow(); });
}

function inputsFollow() {
  $("mark-x").value = plainNumber(state.mark[0], 2);
  $("mark-y").value = plainNumber(state.mark[1], 2);
  $("facing").value = plainNumber(state.facing, 1);
}

function beatsFollow(at) {
  for (const button of document.querySelectorAll("[data-moment]")) {
    button.setAttribute("aria-pressed", String(state.kind === "moment" && Number(button.dataset.moment) === state.moment));
  }
  if ($("time") && at !== null && at !== undefined) { $("time").value = String(at); timeSaid(at); }
}

function timeSaid(t) {
  $("time-said").textContent = clockOf(t);
  $("time").setAttribute("aria-valuetext", `${clockOf(t)}: ${moments[state.moment].kind === "beat" && state.kind === "moment" ? moments[state.moment].name : "on the way"}`);
}

// A second of the act: a beat's own moment exactly, all between by the fields.
function atTime(t) {
  const frames = data.frames;
  const held = moments.findIndex((m) => m.kind === "beat" && t >= m.at - 1e-6 && t <= m.at + m.hold + 1e-6);
  if (held >= 0) { goTo(held); $("time").value = String(t); timeSaid(t); return; }
  let k = frames.findIndex((frame) => frame[0] >= t);
  if (k < 0) k = frames.length - 1;
  const frame = frames[k], here = moments[frame[4]];
  if (!canAsk(here.act) || !canAsk(moments[frame[5]].act)) { $("time-said").textContent = `${clockOf(t)}: only the beats themselves are in this page.`; return; }
  Object.assign(state, {kind: "time", mark: [frame[1], frame[2]], facing: frame[3], act: here.act, frame, clock: clockOf(t)});
  inputsFollow();
  beatsFollow(null);
  timeSaid(t);
  recolour();
}

function listen() {
  $("secret").addEventListener("change", () => { state.secret = Number($("secret").value); recolour(); });
  $("seat-pick").addEventListener("change", () => choose(Number($("seat-pick").value)));
  const svg = $("plan");
  svg.addEventListener("click", (event) => choose(plan.nearest(plan.toPlan(event), Math.max(data.plan.radius * 3, 14))));
  const box = $("plan-box");
  box.addEventListener("keydown", (event) => {
    const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[event.key];
    if (!way) return;
    event.preventDefault();
    choose(state.eye < 0 ? data.worst : plan.next(state.eye, ...way));
  });
  for (const button of document.querySelectorAll("[data-moment]")) button.addEventListener("click", () => goTo(Number(button.dataset.moment)));
  if ($("time")) $("time").addEventListener("input", () => atTime(Number($("time").value)));
  for (const id of ["note", "initials", "date"]) $(id).addEventListener("input", () => tell(worstVerdict(answer, state.secret)));
  $("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([$("keep-text").value], {type: "text/plain"}));
    link.download = data.keepName;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 2000);
    $("kept").textContent = `Saved as ${data.keepName}, where your browser puts what it saves.`;
  });
  $("back").addEventListener("click", () => goTo(0));
}

function listenTrying() {
  dragging($("plan"), plan, () => state.mark, (mark) => soon(mark, state.facing), (facing) => soon(state.mark, facing));
  const typed = () => {
    const [x, y, f] = ["mark-x", "mark-y", "facing"].map((id) => $(id).valueAsNumber);
    if ([x, y, f].every(Number.isFinite)) tryMark([x, y], f);
  };
  for (const id of ["mark-x", "mark-y", "facing"]) $(id).addEventListener("input", typed);
}

async function begin() {
  listen();
  goTo(0);
  if (!canUnpack) {
    $("trying").hidden = true;
    $("pane-box").textContent = "This browser is too old for the 3D view and for trying other marks; all else on this page works.";
    return;
  }
  scenery = sceneryOf(await Promise.all(data.setting.map(unpackedPiece)));
  acts = [];
  for (const act of data.acts) acts.push({...act, fields: await Promise.all(act.fields.map(unpackedField))});
  if (canAsk(0)) { $("trying").disabled = false; listenTrying(); document.body.dataset.ready = "fields"; }
  if (!webglWorks()) {
    $("pane-box").textContent = "The 3D view needs WebGL, which this browser does not offer. All else on this page works without it.";
    $("pane-tools").hidden = true;
  } else {
    try {
      const drawn = await Promise.all(data.pieces.map(unpackedPiece)), setting = await Promise.all(data.setting.map(unpackedPiece));
      $("pane-box").replaceChildren();
      pane = view3d($("pane-box"), data, (index) => data.acts[index].pieces.map((k) => drawn[k]), setting);
      $("pane-orbit").addEventListener("click", () => sit(-1));
      $("pane-sit").addEventListener("click", () => (state.eye < 0 ? choose(data.worst) : sit(state.eye)));
      $("pane-mark").addEventListener("change", () => pane.mark($("pane-mark").checked));
      $("pane-wide").addEventListener("input", () => pane.widen(2 ** Number($("pane-wide").value)));
      recolour();
      sit(-1);
    } catch (error) {
      pane = null;
      $("pane-box").textContent = "The 3D view could not be started in this browser. All else on this page works without it.";
      $("pane-tools").hidden = true;
    }
  }
  document.body.dataset.ready = "all";
}

// For whoever measures the page: the answer on a mark, and how long this browser takes for it (ms).
window.packetPage = {
  data,
  ask: (mark, facing, act = 0) => { const found = ask(act, mark, facing); return found.verdicts.map((v) => Array.from(v)); },
  clock: (times_, mark = moments[0].mark) => Array.from({length: times_}, (_, k) => { tryMark([mark[0] + 0.1 * Math.sin(k), mark[1]], k * 7 - 180); return lastTime; }),
  state: () => ({...state, exact: answer.exact, seen: count(worstVerdict(answer, state.secret), 2)}),
};
begin();

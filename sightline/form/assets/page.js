// The page: fields to answers, answers to problems, preview and the saved file.
const data = JSON.parse(document.getElementById("data").textContent);
const {plan, questions, venues} = data;

const field = Object.fromEntries(Object.keys(questions).map((id) => [id, document.getElementById("q-" + id)]));
const part = (id, name) => field[id].querySelector(`[data-part="${name}"]`);
const touched = new Set();
const isNew = data.mode === "new";
const MEASURED = Object.keys(LIMITS);
const UNIT_OF = {length: "length", distance: "length", offset: "length", angle: "angle", mass: "mass"};

// Text of an answer into number, second number, unit and "about"; what does not come apart stays whole in the number.
function taken(text, kind) {
  const said = text.trim(), about = /^(?:about\s+|~\s*)/.exec(said);
  const rest = about ? said.slice(about[0].length) : said;
  const feet = /^([+-]?\d+)\s*(?:ft|feet|foot|['′’])\s*([\d ./]+?)\s*(?:in|inch|inches|["″”]|'')$/.exec(rest);
  if (feet && UNIT_OF[kind] === "length") return {number: feet[1], inches: feet[2], unit: "ft+in", about: Boolean(about)};
  const one = /^([+-]?[\d./ ]+?(?:\s*(?:-|–|to)\s*[\d./ ]+?)?)\s*([A-Za-z]+|['′’"″”°])$/.exec(rest);
  if (one) {
    const unit = Object.hasOwn(OTHER_NAMES, one[2]) ? OTHER_NAMES[one[2]] : one[2];
    if (Object.hasOwn(UNITS[UNIT_OF[kind]], unit)) return {number: one[1], inches: "", unit, about: Boolean(about)};
  }
  return {number: said, inches: "", unit: "", about: false};
}

function together(id) {
  const number = part(id, "number").value.trim(), unit = part(id, "unit").value;
  const about = part(id, "about").checked ? "about " : "";
  if (unit === "ft+in") {
    const inches = part(id, "inches").value.trim();
    if (!number && !inches) return "";
    return about + [number && number + " ft", inches && inches + " in"].filter(Boolean).join(" ");
  }
  if (!number) return "";
  // Somebody who writes the unit into the field means it.
  const own = /[A-Za-z'"′″’”°]/.test(number.replace(/\bto\b/g, ""));
  return own ? (/^(about|~|unknown)/i.test(number) ? number : about + number) : `${about}${number} ${unit}`;
}

function answer(id) {
  const q = questions[id], box = field[id];
  if (plan.locked[id]) return plan.was[id] || "";
  if (box.dataset.raw !== undefined) return box.dataset.raw;
  if (q.kind === "facing") {
    const word = part(id, "word").value;
    return word === "deg" ? (part(id, "number").value.trim() ? degrees(part(id, "number").value.trim()) : "") : word;
  }
  if (MEASURED.includes(q.kind)) {
    const skip = part(id, "skip");
    if (skip && skip.checked) return q.skip === "unknown" ? "unknown" : "";
    return together(id);
  }
  if (q.kind === "choice") {
    const select = part(id, "select");
    if (select) return select.value;
    const on = box.querySelector("input:checked");
    return on ? on.value : "";
  }
  return part(id, "text").value.trim();
}

const degrees = (number) => (/[A-Za-z°]/.test(number) ? number : number + " deg");

function show(id, text) {
  const q = questions[id], box = field[id], said = text.trim();
  if (q.kind === "facing") {
    const word = part(id, "word"), low = said.toLowerCase();
    const words = Array.from(word.options, (option) => option.value);
    word.value = said === "" ? "" : words.includes(low) ? low : "deg";
    if (word.value === "deg") part(id, "number").value = said.replace(/\s*(deg|degrees|°)$/, "");
  } else if (MEASURED.includes(q.kind)) {
    const skip = part(id, "skip"), unknown = said.toLowerCase() === "unknown" || (said === "" && q.skip === "unknown");
    if (skip) skip.checked = unknown && q.skip !== "no";
    const now = unknown || !said ? {number: "", inches: "", unit: "", about: false} : taken(said, q.kind);
    part(id, "number").value = now.number;
    if (part(id, "inches")) part(id, "inches").value = now.inches;
    if (now.unit) part(id, "unit").value = now.unit;
    part(id, "about").checked = now.about;
  } else if (q.kind === "choice") {
    const select = part(id, "select"), value = said || q.implied;
    if (select) {
      if (value && !Array.from(select.options).some((o) => o.value === value)) select.add(new Option(value, value), 0);
      select.value = value;
    } else for (const radio of box.querySelectorAll("input[type=radio]")) radio.checked = radio.value === value;
  } else part(id, "text").value = said;
  arrange(id);
}

// Which controls of a field are in use.
function arrange(id) {
  const q = questions[id], locked = Boolean(plan.locked[id]);
  if (MEASURED.includes(q.kind)) {
    const skip = part(id, "skip"), off = locked || Boolean(skip && skip.checked);
    for (const name of ["number", "inches", "unit", "about"]) if (part(id, name)) part(id, name).disabled = off;
    if (skip) skip.disabled = locked;
    const feet = part(id, "unit").value === "ft+in";
    for (const element of field[id].querySelectorAll("[data-feet]")) element.hidden = !feet;
  } else if (q.kind === "facing") {
    part(id, "word").disabled = locked;
    const by = part(id, "word").value === "deg";
    for (const element of field[id].querySelectorAll("[data-degrees]")) element.hidden = !by;
    part(id, "number").disabled = locked;
  } else for (const control of field[id].querySelectorAll("input, select")) control.disabled = locked;
}

function answers() {
  return Object.fromEntries(Object.keys(questions).map((id) => [id, answer(id)]));
}

// In a file that says nothing of a thing, its questions are needed only once one of them is answered.
function needed(q, said) {
  if (isNew || plan.keep.includes(q.id)) return q.required || plan.keep.includes(q.id);
  if (!q.required) return false;
  const was = (id) => Boolean(plan.was[id]);
  const news = (group) => Object.values(questions).some(
    (other) => other.group === group && !was(other.id) && said[other.id] && said[other.id] !== "unknown" && said[other.id] !== other.implied);
  const there = (group) => Object.values(questions).some((other) => other.group === group && was(other.id));
  if (was(q.id) || (q.also && news(q.also))) return true;
  if (q.when) return there(q.group) || news(q.group);
  return !there(q.group) && (news(q.group) || (q.group === "prop" && news("opening")));
}

function problems(said) {
  const out = {};
  const whole = settled(said, questions);
  const apart = misfits(whole, data.wall);
  for (const q of Object.values(questions)) {
    if (plan.locked[q.id]) continue;
    if (q.when && !q.when[1].includes(whole[q.when[0]] || "")) continue;
    const text = whole[q.id];
    // What the file said already and its reader accepted may stay.
    const same = text && text === (plan.was[q.id] || q.implied);
    const wrong = same ? null : !text && !needed(q, whole) ? null : answerProblem({...q, required: needed(q, whole)}, text);
    if (wrong || apart[q.id]) out[q.id] = wrong || apart[q.id];
  }
  return out;
}

function tell(id, sentence) {
  const said = document.getElementById("e-" + id);
  if (said.textContent !== sentence) said.textContent = sentence;
  for (const control of field[id].querySelectorAll("[data-part], input[type=radio]")) {
    if (sentence && control.dataset.part !== "unit" && control.type !== "checkbox") control.setAttribute("aria-invalid", "true");
    else control.removeAttribute("aria-invalid");
  }
}

let text = "";
function update() {
  const said = answers(), whole = settled(said, questions), wrong = problems(said);
  for (const q of Object.values(questions)) {
    field[q.id].hidden = Boolean(q.when && !q.when[1].includes(whole[q.when[0]] || ""));
    // An empty field that nobody has been to is not a mistake yet; saving tells.
    tell(q.id, wrong[q.id] && (touched.has(q.id) || whole[q.id]) ? wrong[q.id] : "");
  }
  text = join(plan, said, questions);
  document.getElementById("preview").textContent = text;
  const count = Object.keys(wrong).length;
  status(count === 0 ? (text === data.text && !isNew ? "Nothing is changed yet." : "Ready to save.")
    : count === 1 ? "One answer to give or mend." : `${count} answers to give or mend.`);
  return wrong;
}

function status(words) {
  const line = document.getElementById("status");
  if (line.textContent !== words) line.textContent = words;
}

function follow(id) {
  if (!isNew) return;
  if (id === "hide" && !touched.has("limb.wall") && answer("hide")) {
    delete field["limb.wall"].dataset.raw;
    show("limb.wall", answer("hide").split(" ")[0]);
  }
  const venue = id === "venue" && venues[answer("venue")];
  if (venue && !touched.has("mark.x") && !touched.has("mark.y"))
    for (const [name, value] of [["mark.x", venue[1]], ["mark.y", venue[2]]]) {
      show(name, value);
      field[name].dataset.raw = value;
    }
}

function changed(event) {
  const box = event.target.closest(".q");
  if (!box) return;
  const id = box.dataset.q;
  delete box.dataset.raw;
  touched.add(id);
  arrange(id);
  follow(id);
  update();
}

function save(event) {
  event.preventDefault();
  for (const id of Object.keys(questions)) touched.add(id);
  const wrong = update();
  const first = Object.keys(questions).find((id) => wrong[id]);
  if (first) {
    const folded = field[first].closest("details");
    if (folded) folded.open = true;
    const control = Array.from(field[first].querySelectorAll("input, select")).find((c) => !c.disabled && !c.hidden);
    if (control) control.focus();
    field[first].scrollIntoView({block: "center"});
    return;
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([data.mark + text], {type: "application/yaml"}));
  const name = data.file || (answer("title").toLowerCase().normalize("NFKD").replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "scene") + ".yaml";
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  status(`Saved as ${name}, where downloads go. Next: sightline check ${name}`);
}

function begin() {
  for (const id of Object.keys(questions)) {
    const was = plan.was[id] || "";
    show(id, was);
    // Until somebody touches the field its own wording stays.
    field[id].dataset.raw = was;
    const why = plan.locked[id];
    if (why) field[id].querySelector(".why").textContent = why;
  }
  const form = document.getElementById("form");
  form.addEventListener("input", changed);
  form.addEventListener("change", changed);
  form.addEventListener("focusout", (event) => {
    const box = event.target.closest(".q");
    if (box && !box.contains(event.relatedTarget)) update();
  });
  form.addEventListener("submit", save);
  form.addEventListener("keydown", (event) => {
    // Enter in a field goes on to the next one; only the button saves.
    if (event.key === "Enter" && event.target.matches("input")) event.preventDefault();
  });
  const clear = document.getElementById("clear");
  if (clear) clear.addEventListener("click", () => {
    for (const [id, q] of Object.entries(questions)) {
      if (q.kind === "choice" && q.id !== "sex") continue;
      delete field[id].dataset.raw;
      show(id, q.blank && q.id !== "title" ? q.blank : "");
    }
    touched.clear();
    update();
    part("stature", "number").focus();
  });
  // A folded part does not print; one with answers in it must.
  window.addEventListener("beforeprint", () => {
    for (const folded of document.querySelectorAll("details.section"))
      if (Array.from(folded.querySelectorAll(".q"), (box) => answer(box.dataset.q)).some(Boolean)) folded.open = true;
  });
  document.getElementById("print").addEventListener("click", () => window.print());
  window.addEventListener("hashchange", pencil);
  pencil();
  update();
}

function pencil() {
  const on = location.hash === "#pencil-sheet";
  document.body.classList.toggle("pencil", on);
  if (on) window.scrollTo(0, 0);
}

begin();

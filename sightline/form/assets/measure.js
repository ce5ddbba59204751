// What the scene file's own reader says about a quantity: the twin of units.py and of the fields in scene/fields.py.
// tests/form/test_twins.py gives both the same texts and wants the same sentences.
const UNITS = {
  length: {mm: 1e-3, cm: 1e-2, m: 1, in: 0.0254, ft: 0.3048, yd: 0.9144},
  angle: {deg: Math.PI / 180, rad: 1},
  mass: {g: 1e-3, kg: 1, oz: 0.028349523125, lb: 0.45359237},
};
const OTHER_NAMES = {
  "'": "ft", "′": "ft", "’": "ft", '"': "in", "″": "in", "”": "in", "''": "in", inch: "in", inches: "in",
  foot: "ft", feet: "ft", yard: "yd", yards: "yd", metre: "m", metres: "m", meter: "m", meters: "m",
  "°": "deg", degree: "deg", degrees: "deg", lbs: "lb", sec: "s", seconds: "s", minutes: "min",
};
const EXAMPLES = {
  length: "1.2 m, 48 cm, 480 mm, 18 in or 5 ft 10 1/2 in",
  angle: "30 deg",
  mass: "1.4 kg, 300 g or 3 lb",
};
// No quantity is written so long; a longer text is refused before it is looked through.
const MOST_CHARACTERS = 100;
const COMPOUND = {length: ["ft in", "yd ft"], mass: ["lb oz"], angle: []};
const ABOUT_SHARE = 0.05;

class QuantityError extends Error {}

function shown(text) {
  const clean = Array.from(text, (c) => (/[\p{C}\p{Z}]/u.test(c) && c !== " " ? "?" : c)).join("");
  return Array.from(clean).length <= 40 ? clean : Array.from(clean).slice(0, 37).join("") + "...";
}

function amountAt(said, position, kind, whole) {
  const fraction = /(\d{1,6})\/(\d{1,6})/y;
  const number = /(\d{1,15}(?:\.\d{0,15})?|\.\d{1,15})(?:\s+(\d{1,6})\/(\d{1,6}))?/y;
  fraction.lastIndex = number.lastIndex = position;
  let found = fraction.exec(said), value = 0, up, down, end;
  if (found) [, up, down] = found, end = fraction.lastIndex;
  else {
    found = number.exec(said);
    if (!found) throw new QuantityError(`'${shown(whole)}' is not a ${kind}; write ${EXAMPLES[kind]}`);
    value = Number(found[1]);
    [, , up, down] = found;
    end = number.lastIndex;
  }
  if (up) {
    if (Number(down) === 0) throw new QuantityError(`'${shown(whole)}' divides by nothing; write ${EXAMPLES[kind]}`);
    value += Number(up) / Number(down);
  }
  while (end < said.length && /\s/.test(said[end])) end += 1;
  return [value, end];
}

function single(text, kind, whole) {
  let said = text.trim(), sign = 1;
  if (said && "+-−".includes(said[0])) {
    sign = said[0] === "+" ? 1 : -1;
    said = said.slice(1).trimStart();
  }
  let total = 0, position = 0;
  const used = [];
  while (position < said.length) {
    let amount;
    [amount, position] = amountAt(said, position, kind, whole);
    const unit = /''|['′’"″”°]|[A-Za-z]+/y;
    unit.lastIndex = position;
    const found = unit.exec(said);
    if (!found) throw new QuantityError(`'${shown(whole)}' has no unit; write ${EXAMPLES[kind]}`);
    const own = (table, key) => (Object.hasOwn(table, key) ? table[key] : undefined);
    const name = own(OTHER_NAMES, found[0]) ?? own(OTHER_NAMES, found[0].toLowerCase()) ?? found[0];
    if (own(UNITS[kind], name) === undefined)
      throw new QuantityError(`'${shown(found[0])}' is no unit of ${kind} here; write ${EXAMPLES[kind]}`);
    used.push(name);
    total += amount * UNITS[kind][name];
    position = unit.lastIndex;
    while (position < said.length && /\s/.test(said[position])) position += 1;
  }
  if (!used.length) throw new QuantityError(`'${shown(whole)}' is not a ${kind}; write ${EXAMPLES[kind]}`);
  if (used.length > 1 && !COMPOUND[kind].includes(used.join(" ")))
    throw new QuantityError(`'${shown(whole)}' mixes units in a way that can be misread; write ${EXAMPLES[kind]}`);
  return sign * total;
}

// {value, low, high} in SI units; null for `unknown`; throws QuantityError.
function parseQuantity(text, kind) {
  const said = text.trim();
  if (Array.from(said).length > MOST_CHARACTERS)
    throw new QuantityError(`'${shown(said)}' is too long for a ${kind}; write ${EXAMPLES[kind]}`);
  if (said.toLowerCase() === "unknown") return null;
  const about = /^(?:about\s+|~\s*)/.exec(said);
  if (about) {
    const value = single(said.slice(about[0].length), kind, text), spread = Math.abs(value) * ABOUT_SHARE;
    return {value, low: value - spread, high: value + spread};
  }
  const parts = said.split(/\s*(?:–|\bto\b|(?<=[0-9A-Za-z'"°.])\s*-(?!\s*$))\s*/);
  if (parts.length === 2 && parts[0] && parts[1]) {
    if (!/[A-Za-z'"′″’”°:]/.test(parts[0])) parts[0] += " " + parts[1].replace(/^[\s\d./]+/, "");
    const low = single(parts[0], kind, text), high = single(parts[1], kind, text);
    if (low > high)
      throw new QuantityError(`the range '${shown(text)}' runs from more to less; write the smaller first`);
    return {value: (low + high) / 2, low, high};
  }
  const value = single(said, kind, text);
  return {value, low: value, high: value};
}

const FARTHEST_M = 10000;
const LIMITS = {
  length: ["length", 0, FARTHEST_M, "more than nothing", true],
  distance: ["length", 0, FARTHEST_M, "nothing or more", false],
  offset: ["length", -FARTHEST_M, FARTHEST_M, "at least -10 km", false],
  angle: ["angle", -2 * Math.PI, 2 * Math.PI, "within a full turn", false],
  mass: ["mass", 0, 1e4, "more than nothing", true],
};
const MOST = {length: "10 km", angle: "a full turn", mass: "10000"};
const FACING_WORDS = ["full front", "front", "1/4 left", "1/4 right", "profile left", "profile right", "3/4 left",
  "3/4 right", "full back"];

const sentence = (text) => text[0].toUpperCase() + text.slice(1) + (text.endsWith(".") ? "" : ".");

function quantityProblem(kind, text) {
  const [dimension, low, high, lowWords, openLow] = LIMITS[kind];
  let found;
  try {
    found = parseQuantity(text, dimension);
  } catch (error) {
    if (error instanceof QuantityError) return sentence(error.message);
    throw error;
  }
  if (found === null) return null;
  if (found.low < low || (openLow && found.low <= low)) return `'${text.trim()}' is too small; it must be ${lowWords}.`;
  if (found.high > high) return `'${text.trim()}' is too large; the most here is ${MOST[dimension]}.`;
  return null;
}

function plainProblem(kind, text) {
  const said = text.trim();
  if (kind === "words" || kind === "choice") {
    const unprintable = Array.from(said).some((c) => /[\p{C}\p{Z}]/u.test(c) && c !== " ");
    return Array.from(said).length > 200 || unprintable ? "A name is one line of at most 200 printable characters." : null;
  }
  if (kind === "facing")
    return FACING_WORDS.includes(said.toLowerCase()) ? null : quantityProblem("angle", said);
  // A count: a plain whole number.
  if (!/^[+-]?(?:\d{1,15}(?:\.\d{0,15})?|\.\d{1,15})$/.test(said))
    return sentence(`'${shown(text)}' is not a plain number; write for example 0.5 or 12`);
  const number = Number(said);
  if (number < 0 || number > 100000) return `${said} is outside what can be: 0 to 100000.`;
  return Number.isInteger(number) ? null : `${said} must be a whole number.`;
}

// What is wrong with an answer to a question; null when it will do. The twin of Question.problem.
function answerProblem(question, text) {
  const said = text.trim();
  if (!said) return question.required ? "Nothing is written here; give an answer." : null;
  const measured = Object.hasOwn(LIMITS, question.kind);
  if (said.toLowerCase() === "unknown" && (measured || question.kind === "facing"))
    return question.skip === "unknown" ? null : "This one is needed; measure it, or say 'about' and your best guess.";
  if (question.kind === "choice" && question.choices.length) {
    const allowed = question.choices.map((choice) => choice[0]);
    if (allowed.includes(said)) return null;
    return `'${said.slice(0, 40)}' is not one of the choices; write one of: ${allowed.join(", ")}.`;
  }
  if (question.kind !== "words" && /[0-9],[0-9]/.test(said))
    return "Write a point before the decimals, as in 17.5, and nothing between thousands.";
  const wrong = measured ? quantityProblem(question.kind, said) : plainProblem(question.kind, said);
  if (wrong === null && question.bounds) {
    const found = parseQuantity(said, question.kind === "mass" ? "mass" : "length");
    if (found.low < question.bounds[0] || found.high > question.bounds[1])
      return `'${said}' is outside what can be: ${question.bounds[2]}.`;
  }
  return wrong;
}

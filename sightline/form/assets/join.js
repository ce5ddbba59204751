// Answers put into a plan: the scene's text. The twin of join.py; tests/form/test_twins.py holds them together.
const PLAIN = /^-?[A-Za-z0-9.]([A-Za-z0-9 .'"/()%+-]*[A-Za-z0-9.'")%])?$/;

const scalar = (text) => (PLAIN.test(text) ? text : "'" + text.replaceAll("'", "''") + "'");

function settled(answers, questions) {
  const out = {};
  for (const q of Object.values(questions)) out[q.id] = (answers[q.id] || "").trim() || q.implied;
  for (const q of Object.values(questions)) if (q.when && !q.when[1].includes(out[q.when[0]] || "")) out[q.id] = "";
  return out;
}

function join(plan, answers, questions) {
  const said = settled(answers, questions);
  for (const name of Object.keys(plan.locked)) said[name] = plan.was[name] || "";
  for (const name of plan.keep) said[name] = said[name] || plan.was[name] || "";
  const stays = (name) => name === null || Boolean(said[name]);

  const fresh = (name) => {
    const answer = said[name] || "";
    return !answer || answer === "unknown" || answer === questions[name].implied ? "" : scalar(answer);
  };
  const pairs = (items) => {
    const written = items.map((item) => [item.k, value(item), Boolean(item.weak)]);
    if (!written.some(([, text, weak]) => text && !weak)) return [];
    return written.filter(([, text]) => text).map(([key, text]) => `${key}: ${text}`);
  };
  const value = (item) => {
    if ("fixed" in item) return scalar(item.fixed);
    if ("q" in item) return fresh(item.q);
    if ("s" in item) {
      if (!item.s.some((one) => fresh(one.q))) return "";
      return "[" + item.s.map((one) => fresh(one.q) || one.blank || "0 m").join(", ") + "]";
    }
    const inner = pairs(item.m || item.l || []);
    if (!inner.length) return "";
    return "m" in item ? "{" + inner.join(", ") + "}" : "[{" + inner.join(", ") + "}]";
  };
  const segment = (part) => {
    const text = part.t || "";
    if ("q" in part) {
      const answer = said[part.q] || "";
      if (!answer) return questions[part.q].droppable && !plan.keep.includes(part.q) ? "" : text;
      return answer === plan.was[part.q] ? text : scalar(answer);
    }
    if ("drop" in part) return stays(part.drop) ? text : "";
    if ("sep" in part) return stays(part.sep) && part.after.some(stays) ? text : "";
    if ("bare" in part) return part.bare.some(stays) || pairs(part.unless).length ? "" : " {}";
    if ("whole" in part) return value(part.whole) || text;
    if ("add" in part) {
      const added = pairs(part.add);
      if ("lead" in part) return added.map((pair) => part.lead + pair + (part.trail || "")).join("");
      const before = part.after.some(stays);
      return added.map((pair, i) => (before || i ? ", " : "") + pair).join("");
    }
    return text;
  };
  return plan.segments.map(segment).join("");
}

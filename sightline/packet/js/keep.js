// A move worth keeping, as the text that `sightline apply` reads (scene/kept.py): plain YAML, every text quoted.

const quoted = (text) => '"' + text.replace(/\\/g, "\\\\").replace(/"/g, '\\"').replace(/\r?\n/g, "\\n").replace(/\t/g, " ")
  .replace(/[\u0000-\u001f\u007f-\u009f\u2028\u2029\ufeff]/g, "") + '"';

// 0.30000000000000004 as 0.3, and -0 as 0.
const plainNumber = (value, digits) => String(Number(value.toFixed(digits)) || 0);

function keptText(title, mark, facing, note, initials, date) {
  return [
    "# A move kept on the page of a packet. Read it into a scene with: sightline apply",
    "version: 1",
    `scene: ${quoted(title)}`,
    `mark: [${plainNumber(mark[0], 3)} m, ${plainNumber(mark[1], 3)} m]`,
    `facing: ${plainNumber(facing, 1)} deg`,
    ...[["note", note], ["initials", initials], ["date", date]].filter(([, text]) => text.trim())
      .map(([key, text]) => `${key}: ${quoted(text.trim())}`),
    "",
  ].join("\n");
}

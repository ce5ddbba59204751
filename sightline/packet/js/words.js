// Numbers and places in words. `data` and `eyes` are those of the page.

const NAMES = ["hidden", "faint", "seen"];
const many = (n, one, more) => `${n} ${n === 1 ? one : more}`;

const count = (verdict, wanted) => verdict.reduce((sum, v) => sum + (v === wanted), 0);

function markWords(mark, facing) {
  const across = Math.abs(mark[0]) < 0.005 ? "on the centre line" : `${Math.abs(mark[0]).toFixed(2)} m to stage ${mark[0] > 0 ? "left (house right)" : "right (house left)"}`;
  const along = Math.abs(mark[1]) < 0.005 ? `level with the ${data.datum}` : `${Math.abs(mark[1]).toFixed(2)} m ${mark[1] >= 0 ? "upstage" : "downstage"} of the ${data.datum}`;
  const turn = Math.abs(facing) < 0.05 ? "full front" : `turned ${Math.abs(facing).toFixed(1)} deg to stage ${facing > 0 ? "left" : "right"}`;
  return `${across}, ${along}, ${turn}`;
}

function listed(which) {
  if (!which.length) return "none";
  const names = which.slice(0, 12).map((i) => eyes.id[i]).join(", ");
  return `${which.length}: ${names}` + (which.length > 12 ? ` and ${which.length - 12} more` : "");
}

const sizeWords = (arcmin) => (arcmin >= 60 ? `${(arcmin / 60).toFixed(1)} deg` : `${arcmin.toFixed(1)} arcmin`);

const clockOf = (t) => `${Math.floor(t / 60)}:${String(Math.floor(t % 60)).padStart(2, "0")}`;

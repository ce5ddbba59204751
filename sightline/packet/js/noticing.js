// What an eye can notice: the twin of sight/noticing.py, with the same constants, which come with the data.

const ARCMIN = 180 / Math.PI * 60;

function discArcmin(solidAngle) {
  return 2 * Math.acos(Math.max(-1, 1 - solidAngle / (2 * Math.PI))) * ARCMIN;
}

function spotNoticed(arcmin, contrast, spot, rules) {
  return arcmin > 0 && arcmin * Math.sqrt(Math.max(contrast, rules.leastContrast)) >= spot;
}

function lineNoticed(width, run, contrast, spot, line, rules) {
  if (run <= 0) return false;
  if (run >= rules.lineRun) return Math.max(contrast, rules.leastContrast) * width * 60 >= line;
  return spotNoticed(2 * Math.sqrt(run * width / Math.PI), contrast, spot, rules);
}

// Answers that do not go together: the twin of fit.py, in the same words.
const SPAN = {front: [0, 2], back: [0, 2], left: [1, 2], right: [1, 2], top: [0, 1], bottom: [0, 1]};

function misfits(said, openingWall) {
  const out = {};
  const metres = (name) => {
    try {
      const found = parseQuantity(said[name] || "", "length");
      return found === null ? null : found.value;
    } catch (error) {
      return null;
    }
  };
  const mm = (value) => Math.floor(value * 1000 + 0.5);
  const sides = ["width", "depth", "height"].map((side) => metres("box." + side));
  if (sides.includes(null)) return out;
  const wall = metres("box.wall") || 0.004;
  if (2 * wall >= Math.min(...sides)) {
    out["box.wall"] = "The walls are so thick that the box has no inside; make the wall thinner or the box larger.";
    return out;
  }
  const isRound = said["opening.shape"] === "round";
  ["across", "up"].forEach((direction, k) => {
    const name = isRound ? "opening.diameter" : ["opening.width", "opening.height"][k];
    const place = ["opening.across", "opening.up"][k];
    const hole = metres(name), room = sides[SPAN[openingWall][k]] - 2 * wall;
    if (hole === null || out[name]) return;
    const over = Math.abs(metres(place) || 0) + hole / 2 - room / 2;
    if (hole > room)
      out[name] = `The opening is ${mm(hole)} mm ${direction}, larger than the ${openingWall} wall's ${mm(room)} mm between its edges.`;
    else if (over > 1e-9)
      out[place] = `The opening cuts the ${openingWall} wall's edge by ${mm(over)} mm (${direction}); move it or make it smaller.`;
  });
  const on = said["limb.wall"] || "";
  ["limb.across", "limb.up"].forEach((place, k) => {
    const beyond = Math.abs(metres(place) || 0) - (Object.hasOwn(SPAN, on) ? sides[SPAN[on][k]] / 2 : 1e9);
    if (beyond > 1e-9) out[place] = `This place is ${mm(beyond)} mm beyond the edge of the ${on} wall: in mid-air.`;
  });
  return out;
}

// Arrays that travelled as deflated base64, unpacked by the browser's own stream: nothing is fetched.
"use strict";

const canUnpack = typeof DecompressionStream === "function";

async function unpacked(text) {
  const raw = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const stream = new Blob([raw]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Response(stream).arrayBuffer();
}

async function unpackedField(field) {
  return {
    ...field,
    centres: new Float32Array(await unpacked(field.centres)),
    edge: new Int8Array(await unpacked(field.edge)),
    size: field.size ? new Uint8Array(await unpacked(field.size)) : null,
    most: Float64Array.from(field.most),
  };
}

async function unpackedPiece(piece) {
  const steps = new Uint16Array(await unpacked(piece.at));
  const at = new Float32Array(steps.length);
  for (let i = 0; i < at.length; i++) at[i] = piece.low[i % 3] + steps[i] * piece.step;
  const faces = piece.faces ? new (piece.wide ? Uint32Array : Uint16Array)(await unpacked(piece.faces)) : null;
  const paint = piece.paint ? new Uint8Array(await unpacked(piece.paint)) : null;
  return {...piece, at, faces, paint};
}

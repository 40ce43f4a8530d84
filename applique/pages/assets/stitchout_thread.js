"use strict";
// Thread drawn into a picture pixel by pixel: a round strand in the light, as wide as it covers.
(function (page) {
  // Width in mm that a 40 wt thread is counted to cover; the proof counts and draws it so too.
  page.THREAD_MM = 0.4;

  const ACROSS = 32; // shades from one side of a strand to the other
  const TURNS = 16; // shades by its direction, over half a turn
  const LIGHT_FROM = (-3 * Math.PI) / 4; // from the upper left
  const DIP_MM = 0.45; // so near to its ends a stitch dips into the cloth
  const DIP_SHADE = 0.34;

  page.rgb = function (colour) {
    return [1, 3, 5].map((k) => parseInt(colour.slice(k, k + 2), 16));
  };

  // The colours of a strand: for each direction, from its one side to its other. At a small scale
  // a strand is hardly a pixel wide, and its light and dark are drawn closer together.
  page.shadesOf = function (colour, scale) {
    const body = page.rgb(colour);
    const contrast = Math.max(0.35, Math.min(1, (scale * page.THREAD_MM - 0.6) / 2));
    const shades = new Uint8ClampedArray(TURNS * ACROSS * 3);
    for (let turn = 0; turn < TURNS; turn += 1) {
      const angle = ((turn + 0.5) / TURNS) * Math.PI;
      const along = Math.cos(angle - LIGHT_FROM);
      const facing = Math.sin(LIGHT_FROM - angle);
      for (let k = 0; k < ACROSS; k += 1) {
        const u = ((k + 0.5) / ACROSS) * 2 - 1;
        const lit = lightOn(u, along, facing);
        for (let c = 0; c < 3; c += 1) {
          shades[(turn * ACROSS + k) * 3 + c] = shaded(body[c], lit * contrast);
        }
      }
    }
    return shades;
  };

  // From -1 (black) over 0 (the thread's own colour) to 1 (white), at u across the strand from -1
  // to 1. Strands across the light shine, strands along it are duller: the sheen of satin.
  function lightOn(u, along, facing) {
    const height = Math.sqrt(1 - u * u);
    const sides = -0.42 * (1 - height) - 0.1 * u * -facing;
    const across = 1 - along * along;
    const middle = Math.exp(-(((u - 0.35 * facing) / 0.34) ** 2));
    return sides - 0.1 + 0.16 * across + middle * (0.1 + 0.3 * across);
  }

  function shaded(value, light) {
    return light < 0 ? value * (1 + light) : value + (255 - value) * light;
  }

  // Draw one stitch into `picture` (data, width and a clip box in pixels), from and to a point in
  // pixels.
  page.drawStitch = function (picture, shades, scale, x0, y0, x1, y1) {
    const half = (page.THREAD_MM / 2) * scale;
    const reach = half + 0.5;
    const clip = picture.clip;
    const top = Math.max(clip[1], Math.floor(Math.min(y0, y1) - reach));
    const bottom = Math.min(clip[3], Math.ceil(Math.max(y0, y1) + reach));
    const left = Math.max(clip[0], Math.floor(Math.min(x0, x1) - reach));
    const right = Math.min(clip[2], Math.ceil(Math.max(x0, x1) + reach));
    if (top >= bottom || left >= right) return;
    const length = Math.hypot(x1 - x0, y1 - y0) || 1e-9;
    const ux = (x1 - x0) / length;
    const uy = (y1 - y0) / length;
    let turn = Math.floor((Math.atan2(uy, ux) / Math.PI) * TURNS);
    // The two ways along a strand look alike, with its sides exchanged.
    let side = ACROSS / 2 / half;
    if (turn < 0) {
      turn += TURNS;
      side = -side;
    }
    const strand = Math.min(turn, TURNS - 1) * ACROSS;
    const most = Math.min(1, 2 * half);
    const dip = DIP_MM * scale;
    const data = picture.data;
    for (let y = top; y < bottom; y += 1) {
      const py = y + 0.5 - y0;
      // Where this row of pixels crosses the strand.
      let from = left;
      let to = right;
      if (Math.abs(uy) > 1e-3) {
        const a = (ux * py - reach) / uy;
        const b = (ux * py + reach) / uy;
        from = Math.max(from, Math.floor(x0 + Math.min(a, b) - 0.5));
        to = Math.min(to, Math.ceil(x0 + Math.max(a, b) + 0.5));
      }
      if (Math.abs(ux) > 1e-3) {
        const a = (-reach - uy * py) / ux;
        const b = (length + reach - uy * py) / ux;
        from = Math.max(from, Math.floor(x0 + Math.min(a, b) - 0.5));
        to = Math.min(to, Math.ceil(x0 + Math.max(a, b) + 0.5));
      }
      let at = (y * picture.width + from) * 4;
      for (let x = from; x < to; x += 1, at += 4) {
        const px = x + 0.5 - x0;
        const t = px * ux + py * uy;
        const d = py * ux - px * uy;
        const beyond = t < 0 ? t : t > length ? t - length : 0;
        let cover = reach - (beyond === 0 ? Math.abs(d) : Math.sqrt(beyond * beyond + d * d));
        if (cover <= 0) continue;
        if (cover > most) cover = most;
        let k = (d * side + ACROSS / 2) | 0;
        if (k < 0) k = 0;
        else if (k >= ACROSS) k = ACROSS - 1;
        const shade = (strand + k) * 3;
        const end = Math.max(0, Math.min(t, length - t));
        const lit = end < dip ? 1 - DIP_SHADE * (1 - end / dip) : 1;
        data[at] += (shades[shade] * lit - data[at]) * cover;
        data[at + 1] += (shades[shade + 1] * lit - data[at + 1]) * cover;
        data[at + 2] += (shades[shade + 2] * lit - data[at + 2]) * cover;
      }
    }
  };
})((window.stitchOut = window.stitchOut || {}));

"use strict";
// The data block of the page, unpacked: penetrations, the events at stops, the stops themselves.
(function (page) {
  const STEP_MM = 0.1;

  page.unpacked = function (text) {
    const record = JSON.parse(text);
    const moves = numbersIn(bytesIn(record.moves));
    const count = moves.length / 2;
    const model = {
      title: record.title,
      background: record.background,
      area: record.area,
      seam: record.seam,
      pictures: record.pictures,
      patches: record.patches.map((patch) => Object.assign({}, patch)),
      count,
      x: new Float64Array(count),
      y: new Float64Array(count),
      begins: new Uint8Array(count),
      block: new Uint16Array(count),
      blocks: [],
      stops: [],
      events: [],
    };
    placePoints(model, moves, record.origin);
    placeBlocks(model, record.sittings);
    return model;
  };

  function bytesIn(base64) {
    const letters = atob(base64);
    const bytes = new Uint8Array(letters.length);
    for (let k = 0; k < letters.length; k += 1) bytes[k] = letters.charCodeAt(k);
    return bytes;
  }

  // Variable-length integers, zigzag: see stitchout_data.py.
  function numbersIn(bytes) {
    const numbers = new Int32Array(bytes.reduce((sum, byte) => sum + (byte < 128 ? 1 : 0), 0));
    let at = 0;
    let value = 0;
    let shift = 0;
    for (const byte of bytes) {
      value += (byte & 127) * 2 ** shift;
      shift += 7;
      if (byte < 128) {
        numbers[at] = value % 2 ? -(value + 1) / 2 : value / 2;
        at += 1;
        value = 0;
        shift = 0;
      }
    }
    return numbers;
  }

  function placePoints(model, moves, origin) {
    let across = 0;
    let down = 0;
    for (let k = 0; k < model.count; k += 1) {
      across += moves[2 * k];
      down += moves[2 * k + 1];
      model.x[k] = origin[0] + across * STEP_MM;
      model.y[k] = origin[1] + down * STEP_MM;
    }
  }

  // A stop comes before each block; what is done at it are events in the order of drawing.
  function placeBlocks(model, sittings) {
    let point = 0;
    sittings.forEach((sitting) => {
      sitting.blocks.forEach((block) => {
        const number = model.blocks.length;
        model.stops.push({ at: point, block: number, field: sitting.field });
        block.trimmed.forEach((patch) => model.events.push({ at: point, patch, trims: true }));
        block.laid.forEach((patch) => model.events.push({ at: point, patch, trims: false }));
        model.blocks.push({ colour: block.colour });
        block.runs.forEach((length) => {
          model.begins[point] = 1;
          model.block.fill(number, point, point + length);
          point += length;
        });
      });
    });
  }
})((window.stitchOut = window.stitchOut || {}));

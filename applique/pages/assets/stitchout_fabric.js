"use strict";
// The background and the fabrics laid on it, drawn into the same picture as the thread.
(function (page) {
  const RIM_MM = 0.3; // width of the darker line along a raw edge
  const WEAVE_MM = 0.36; // width of a woven thread
  const WEAVE_FROM = 8; // from so many px a mm on it is seen, and plainly from twice as many
  const WEAVE_SHADE = 0.11;

  page.Fabrics = class {
    constructor(model) {
      this.model = model;
      this.scratch = document.createElement("canvas");
      this.pen = this.scratch.getContext("2d", { willReadFrequently: true });
      this.prints = [];
      this.paths = model.patches.map((patch) => ({
        trimmed: shapeOf(patch.path),
        untrimmed: shapeOf(patch.untrimmed || patch.path),
      }));
    }

    // The pictures of prints are part of the page, but a browser takes its time to unpack them.
    async ready() {
      this.prints = await Promise.all(
        this.model.pictures.map(async (source) => {
          const image = new Image();
          image.src = source;
          await image.decode();
          return image;
        })
      );
    }

    // The bare background, to the edges of its cloth; beyond it nothing is drawn.
    drawBackground(picture, view) {
      const [left, top, right, bottom] = this.model.area;
      const box = pixelBox([left, top, right, bottom], view, picture.clip);
      if (box === null) return;
      const [red, green, blue] = page.rgb(this.model.background);
      const data = picture.data;
      for (let y = box[1]; y < box[3]; y += 1) {
        let at = (y * picture.width + box[0]) * 4;
        for (let x = box[0]; x < box[2]; x += 1, at += 4) {
          const lit = weave(x, y, view);
          data[at] = red * lit;
          data[at + 1] = green * lit;
          data[at + 2] = blue * lit;
          data[at + 3] = 255;
        }
      }
    }

    // One fabric, trimmed or as it is laid first.
    drawPatch(picture, view, number, isTrimmed) {
      const shape = this.paths[number][isTrimmed ? "trimmed" : "untrimmed"];
      const box = pixelBox(shape.box, view, picture.clip);
      if (box === null) return;
      const width = box[2] - box[0];
      const height = box[3] - box[1];
      const drawn = this.rasterised(shape, number, view, box, width, height);
      const data = picture.data;
      for (let y = 0, from = 0; y < height; y += 1) {
        let at = ((y + box[1]) * picture.width + box[0]) * 4;
        for (let x = 0; x < width; x += 1, at += 4, from += 4) {
          const cover = drawn[from + 3] / 255;
          if (cover === 0) continue;
          const lit = weave(x + box[0], y + box[1], view);
          data[at] += (drawn[from] * lit - data[at]) * cover;
          data[at + 1] += (drawn[from + 1] * lit - data[at + 1]) * cover;
          data[at + 2] += (drawn[from + 2] * lit - data[at + 2]) * cover;
        }
      }
    }

    // The box of an untrimmed fabric in pixels, a little larger than what is drawn of it.
    reachOf(number, view, clip) {
      return pixelBox(this.paths[number].untrimmed.box, view, clip);
    }

    rasterised(shape, number, view, box, width, height) {
      if (this.scratch.width < width || this.scratch.height < height) {
        this.scratch.width = Math.max(this.scratch.width, width);
        this.scratch.height = Math.max(this.scratch.height, height);
      }
      const pen = this.pen;
      pen.setTransform(1, 0, 0, 1, 0, 0);
      pen.clearRect(0, 0, width, height);
      const { scale } = view;
      pen.setTransform(scale, 0, 0, scale, -view.left * scale - box[0], -view.top * scale - box[1]);
      const patch = this.model.patches[number];
      pen.fillStyle = patch.colour;
      pen.fill(shape.path, "evenodd");
      const print = this.printOf(patch);
      if (print !== null) {
        pen.fillStyle = print;
        pen.fill(shape.path, "evenodd");
      }
      const [red, green, blue] = page.rgb(patch.colour).map((part) => Math.round(part * 0.72));
      pen.strokeStyle = `rgb(${red},${green},${blue})`;
      pen.lineWidth = Math.max(RIM_MM, 1 / scale);
      pen.stroke(shape.path);
      return pen.getImageData(0, 0, width, height).data;
    }

    printOf(patch) {
      const image = this.prints[patch.picture];
      if (!image) return null;
      const print = this.pen.createPattern(image, "repeat");
      const [width, height] = patch.size;
      print.setTransform(new DOMMatrix([width / image.width, 0, 0, height / image.height, 0, 0]));
      return print;
    }
  };

  function shapeOf(data) {
    const numbers = (data.match(/-?[\d.]+(?:e-?\d+)?/g) || []).map(Number);
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    numbers.forEach((value, k) => {
      box[k % 2] = Math.min(box[k % 2], value);
      box[2 + (k % 2)] = Math.max(box[2 + (k % 2)], value);
    });
    return { path: new Path2D(data), box };
  }

  // A box of mm, grown by what a rim reaches beyond it, in whole pixels within a clip box.
  function pixelBox(box, view, clip) {
    const more = Math.max(2, RIM_MM * view.scale);
    const left = Math.max(clip[0], Math.floor((box[0] - view.left) * view.scale - more));
    const top = Math.max(clip[1], Math.floor((box[1] - view.top) * view.scale - more));
    const right = Math.min(clip[2], Math.ceil((box[2] - view.left) * view.scale + more));
    const bottom = Math.min(clip[3], Math.ceil((box[3] - view.top) * view.scale + more));
    return left < right && top < bottom ? [left, top, right, bottom] : null;
  }

  // How light a pixel of cloth is: plain weave, one thread over and one under, each round.
  function weave(x, y, view) {
    const seen = Math.min(1, view.scale / WEAVE_FROM - 1);
    if (seen <= 0) return 1;
    const across = ((x + 0.5) / view.scale + view.left) / WEAVE_MM;
    const down = ((y + 0.5) / view.scale + view.top) / WEAVE_MM;
    const column = Math.floor(across);
    const row = Math.floor(down);
    const side = 2 * ((column + row) & 1 ? across - column : down - row) - 1;
    return 1 - WEAVE_SHADE * seen * (side * side - 1 / 3);
  }
})((window.stitchOut = window.stitchOut || {}));

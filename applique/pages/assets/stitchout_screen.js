"use strict";
// What is seen: the picture through a view that can be moved and enlarged, lines of chalk, needle.
(function (page) {
  const MOST_PX_PER_MM = 60;
  const MOST_PIXELS = 2.6e6; // of the picture; a dense screen beyond that gets a coarser one
  const MOST_DENSITY = 2;
  const FRAME_MS = 11; // for drawing, of the 16 that a frame has
  const SHOW_AFTER_MS = 150; // an unfinished picture is shown no earlier

  page.Screen = class {
    constructor(model, fabrics, stage) {
      this.model = model;
      this.stage = stage;
      this.picture = new page.Picture(model, fabrics);
      this.cloth = stage.querySelector(".cloth");
      this.chalk = stage.querySelector(".chalk");
      this.needle = stage.querySelector(".needle");
      this.pen = this.cloth.getContext("2d");
      this.seen = null; // what the canvas shows
      this.drawn = null; // what is being drawn
      this.field = null;
      this.resize();
    }

    // Take the stage's size; what is in the middle stays there.
    resize() {
      const width = this.stage.clientWidth;
      const height = this.stage.clientHeight;
      const [left, top, right, bottom] = this.model.area;
      const fits = Math.min(width / (right - left), height / (bottom - top));
      const wasFitting = !this.view || this.view.scale <= this.fits;
      this.fits = fits;
      this.density = Math.min(
        MOST_DENSITY,
        window.devicePixelRatio || 1,
        Math.max(1, Math.sqrt(MOST_PIXELS / (width * height)))
      );
      const old = this.view;
      this.view = { left, top, scale: fits, width, height };
      if (wasFitting) this.fit();
      else this.look(old.left + old.width / old.scale / 2, old.top + old.height / old.scale / 2, old.scale);
    }

    fit() {
      const [left, top, right, bottom] = this.model.area;
      this.look((left + right) / 2, (top + bottom) / 2, this.fits);
    }

    // See a place, in mm, in the middle, at so many px a mm; some of the area stays in sight.
    look(x, y, scale) {
      const { width, height } = this.view;
      const [left, top, right, bottom] = this.model.area;
      const size = Math.max(this.fits, Math.min(MOST_PX_PER_MM, scale));
      this.view = {
        left: held(x - width / size / 2, left, right, width / size),
        top: held(y - height / size / 2, top, bottom, height / size),
        scale: size,
        width,
        height,
      };
      this.stage.classList.toggle("enlarged", size > this.fits * 1.001);
      this.chalked = false;
    }

    // Enlarge about a point of the stage, in px.
    enlarge(factor, x = this.view.width / 2, y = this.view.height / 2) {
      const { left, top, width, height, scale } = this.view;
      const size = Math.max(this.fits, Math.min(MOST_PX_PER_MM, scale * factor));
      const middle = [left + x / scale + (width / 2 - x) / size, top + y / scale + (height / 2 - y) / size];
      this.look(middle[0], middle[1], size);
    }

    // Move what is seen by px.
    shift(across, down) {
      const { left, top, width, height, scale } = this.view;
      this.look(left + (width / 2 - across) / scale, top + (height / 2 - down) / scale, scale);
    }

    // Bring the screen nearer to the state at a point; whether it shows it.
    draw(point, field) {
      const now = performance.now();
      if (this.drawn === null || (this.isSeen() && this.drawn !== this.view)) {
        this.drawn = this.view;
        this.picture.begin(this.inPixels(this.drawn));
        this.begun = now;
      }
      const done = this.picture.drawTo(point, now + FRAME_MS);
      if (done || now - this.begun > SHOW_AFTER_MS) this.show(now);
      this.place(point, field);
      return done && this.drawn === this.view;
    }

    isSeen() {
      return this.seen === this.drawn;
    }

    inPixels({ left, top, scale, width, height }) {
      return {
        left,
        top,
        scale: scale * this.density,
        width: Math.max(1, Math.round(width * this.density)),
        height: Math.max(1, Math.round(height * this.density)),
      };
    }

    show(now) {
      const { width, height } = this.picture.view;
      if (this.cloth.width !== width || this.cloth.height !== height) {
        this.cloth.width = width;
        this.cloth.height = height;
        this.picture.touch(this.picture.whole);
      }
      this.picture.show(this.pen);
      this.seen = this.drawn;
      this.begun = now;
    }

    // Put the canvas, the chalk and the needle where the present view has them.
    place(point, field) {
      const { left, top, scale, width, height } = this.view;
      const seen = this.seen || this.view;
      const size = scale / seen.scale;
      this.cloth.style.width = `${seen.width}px`;
      this.cloth.style.height = `${seen.height}px`;
      const across = (seen.left - left) * scale;
      const down = (seen.top - top) * scale;
      const moved = size !== 1 || across !== 0 || down !== 0;
      this.cloth.style.transform = moved ? `translate(${across}px,${down}px) scale(${size})` : "";
      if (!this.chalked || this.field !== field) this.drawChalk(field, width, height);
      const at = Math.max(0, Math.min(point, this.model.count) - 1);
      const x = (this.model.x[at] - left) * scale;
      const y = (this.model.y[at] - top) * scale;
      this.needle.style.transform = `translate(${x.toFixed(1)}px,${y.toFixed(1)}px)`;
    }

    // The finished block and the hoop's field, dashed.
    drawChalk(field, width, height) {
      this.chalked = true;
      this.field = field;
      this.chalk.width = Math.round(width * this.density);
      this.chalk.height = Math.round(height * this.density);
      const pen = this.chalk.getContext("2d");
      const { left, top, scale } = this.view;
      const size = scale * this.density;
      const lines = [
        [this.model.seam, "#ffffff", [2, 5]],
        [field, "#14566e", [9, 6]],
      ];
      lines.forEach(([box, colour, dash]) => {
        if (!box) return;
        const corner = [(box[0] - left) * size, (box[1] - top) * size];
        const sides = [(box[2] - box[0]) * size, (box[3] - box[1]) * size];
        pen.lineWidth = 3 * this.density;
        pen.setLineDash([]);
        pen.strokeStyle = "rgba(253,252,248,0.55)";
        pen.strokeRect(...corner, ...sides);
        pen.lineWidth = 1.5 * this.density;
        pen.setLineDash(dash.map((part) => part * this.density));
        pen.strokeStyle = colour === "#ffffff" ? "#52626d" : colour;
        pen.strokeRect(...corner, ...sides);
      });
    }
  };

  // The start of a stretch that shows as much of another as it can, in the middle if all.
  function held(start, low, high, length) {
    if (length >= high - low) return (low + high - length) / 2;
    return Math.max(low, Math.min(high - length, start));
  }
})((window.stitchOut = window.stitchOut || {}));

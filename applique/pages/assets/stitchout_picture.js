"use strict";
// The picture of what has been sewn: drawn on from where it is, or from the nearest one kept.
(function (page) {
  const KEPT_BYTES = 64e6; // for all pictures kept
  const MOST_KEPT = 32;
  const FEWEST_BETWEEN = 500; // stitches from one picture kept to the next
  const SLICE = 64; // stitches drawn between two looks at the clock

  page.Picture = class {
    constructor(model, fabrics) {
      this.model = model;
      this.fabrics = fabrics;
      this.kept = [];
      this.dirty = null;
    }

    // Begin anew, empty, as seen in a view: `left` and `top` in mm, `scale` in px a mm, `width`
    // and `height` in px.
    begin(view) {
      this.view = view;
      if (!this.image || this.image.width !== view.width || this.image.height !== view.height) {
        this.image = new ImageData(view.width, view.height);
      }
      this.data = this.image.data;
      this.width = view.width;
      this.whole = [0, 0, view.width, view.height];
      this.clip = this.whole;
      this.kept = [];
      const room = Math.max(2, Math.min(MOST_KEPT, Math.floor(KEPT_BYTES / this.data.length)));
      this.between = Math.max(FEWEST_BETWEEN, Math.ceil(this.model.count / room));
      const colours = new Map();
      this.shades = this.model.blocks.map(({ colour }) => {
        if (colour && !colours.has(colour)) {
          colours.set(colour, page.shadesOf(colour, view.scale));
        }
        return colours.get(colour) || null;
      });
      this.clear();
    }

    clear() {
      this.data.fill(0);
      this.fabrics.drawBackground(this, this.view);
      this.point = 0;
      this.event = 0;
      this.dirty = this.whole;
    }

    // Draw towards the state at a point until the clock reaches `deadline`; whether it is reached.
    drawTo(target, deadline) {
      if (target < this.point) this.goBack(target);
      else this.skipAhead(target);
      const events = this.model.events;
      for (;;) {
        while (this.event < events.length && events[this.event].at <= this.point) {
          this.happen(this.event);
          this.event += 1;
          if (performance.now() >= deadline) return this.isAt(target);
        }
        if (this.point >= target) return true;
        const next = this.event < events.length ? events[this.event].at : this.model.count;
        const mark = (Math.floor(this.point / this.between) + 1) * this.between;
        const end = Math.min(target, next, mark, this.point + SLICE);
        this.sew(this.point, end);
        this.point = end;
        if (end === mark) this.keep();
        if (performance.now() >= deadline) return this.isAt(target);
      }
    }

    isAt(target) {
      const events = this.model.events;
      const due = this.event < events.length && events[this.event].at <= this.point;
      return this.point === target && !due;
    }

    happen(index) {
      const { patch, trims } = this.model.events[index];
      if (!trims) {
        this.fabrics.drawPatch(this, this.view, patch, false);
        this.touch(this.fabrics.reachOf(patch, this.view, this.clip));
        return;
      }
      // What was cut off shows what lies beneath it, so that place is drawn anew.
      const box = this.fabrics.reachOf(patch, this.view, this.whole);
      if (box === null) return;
      this.clip = box;
      this.drawPast(index);
      this.clip = this.whole;
      this.touch(box);
    }

    // Everything up to an event within the clip box, with the fabrics as they lie after it.
    drawPast(last) {
      const events = this.model.events;
      const trimmed = new Set();
      for (let k = 0; k <= last; k += 1) if (events[k].trims) trimmed.add(events[k].patch);
      this.fabrics.drawBackground(this, this.view);
      let point = 0;
      for (let k = 0; k <= last; k += 1) {
        const { at, patch, trims } = events[k];
        this.sew(point, at);
        point = at;
        if (!trims) this.fabrics.drawPatch(this, this.view, patch, trimmed.has(patch));
      }
    }

    // The stitches that end at the penetrations from one up to another.
    sew(from, to) {
      const { x, y, begins, block } = this.model;
      const { left, top, scale } = this.view;
      const clip = this.clip;
      const reach = page.THREAD_MM * scale;
      let [low, high, near, far] = [Infinity, Infinity, -Infinity, -Infinity];
      for (let k = Math.max(1, from); k < to; k += 1) {
        const shades = this.shades[block[k]];
        if (begins[k] || shades === null) continue;
        const x0 = (x[k - 1] - left) * scale;
        const y0 = (y[k - 1] - top) * scale;
        const x1 = (x[k] - left) * scale;
        const y1 = (y[k] - top) * scale;
        if (Math.max(x0, x1) + reach < clip[0] || Math.min(x0, x1) - reach > clip[2]) continue;
        if (Math.max(y0, y1) + reach < clip[1] || Math.min(y0, y1) - reach > clip[3]) continue;
        page.drawStitch(this, shades, scale, x0, y0, x1, y1);
        low = Math.min(low, x0, x1);
        high = Math.min(high, y0, y1);
        near = Math.max(near, x0, x1);
        far = Math.max(far, y0, y1);
      }
      if (low <= near) {
        this.touch([
          Math.max(0, Math.floor(low - reach - 1)),
          Math.max(0, Math.floor(high - reach - 1)),
          Math.min(this.whole[2], Math.ceil(near + reach + 1)),
          Math.min(this.whole[3], Math.ceil(far + reach + 1)),
        ]);
      }
    }

    touch(box) {
      if (box === null) return;
      const old = this.dirty;
      this.dirty = old
        ? [
            Math.min(old[0], box[0]),
            Math.min(old[1], box[1]),
            Math.max(old[2], box[2]),
            Math.max(old[3], box[3]),
          ]
        : box;
    }

    keep() {
      const slot = this.point / this.between;
      if (this.kept[slot]) return;
      const data = new Uint8ClampedArray(this.data);
      this.kept[slot] = { point: this.point, event: this.event, data };
    }

    goBack(target) {
      const found = this.nearest(target);
      if (found) this.restore(found);
      else this.clear();
    }

    skipAhead(target) {
      const found = this.nearest(target);
      if (found && found.point > this.point) this.restore(found);
    }

    nearest(target) {
      for (let slot = Math.floor(target / this.between); slot > 0; slot -= 1) {
        if (this.kept[slot]) return this.kept[slot];
      }
      return null;
    }

    restore(found) {
      this.data.set(found.data);
      this.point = found.point;
      this.event = found.event;
      this.dirty = this.whole;
    }

    // Put what has changed onto a canvas.
    show(pen) {
      if (this.dirty === null) return;
      const [left, top, right, bottom] = this.dirty;
      pen.putImageData(this.image, 0, 0, left, top, right - left, bottom - top);
      this.dirty = null;
    }
  };
})((window.stitchOut = window.stitchOut || {}));

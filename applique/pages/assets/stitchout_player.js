"use strict";
// Where the needle is: playing, pausing, going to a stitch or a stop. Knows nothing of the page.
(function (page) {
  const LONGEST_FRAME_S = 0.1; // a page that was hidden goes on from where it was
  const REST_S = 1.2; // how long a stop is shown while playing
  const SHORT_REST_S = 0.3; // at speeds at which nobody reads along
  const FAST = 500; // stitches a second from which a rest is short

  page.Player = class {
    // `told` is an object with `moved()` and `turned(isPlaying)`.
    constructor(model, told) {
      this.model = model;
      this.told = told;
      this.position = 0;
      this.speed = 200;
      this.waits = false;
      this.playing = false;
      this.rest = 0;
    }

    get point() {
      return Math.floor(this.position);
    }

    // The index of the last stop that has been reached.
    get stop() {
      const { stops } = this.model;
      let low = 0;
      let high = stops.length - 1;
      while (low < high) {
        const middle = (low + high + 1) >> 1;
        if (stops[middle].at <= this.position) low = middle;
        else high = middle - 1;
      }
      return low;
    }

    // Let time pass, in seconds.
    pass(seconds) {
      if (!this.playing) return;
      let left = Math.min(seconds, LONGEST_FRAME_S);
      if (this.rest > 0) {
        const rested = Math.min(this.rest, left);
        this.rest -= rested;
        left -= rested;
      }
      if (left <= 0) return;
      const next = this.model.stops[this.stop + 1];
      const end = next ? next.at : this.model.count;
      this.position = Math.min(end, this.position + left * this.speed);
      this.told.moved();
      if (this.position < end) return;
      if (!next) {
        this.pause();
        return;
      }
      this.rest = this.speed > FAST ? SHORT_REST_S : REST_S;
      if (this.waits) this.pause();
    }

    play() {
      if (this.position >= this.model.count) this.position = 0;
      this.playing = true;
      this.rest = 0;
      this.told.turned(true);
      this.told.moved();
    }

    pause() {
      this.playing = false;
      this.told.turned(false);
    }

    toggle() {
      if (this.playing) this.pause();
      else this.play();
    }

    // Go to a stitch; what plays is paused.
    goTo(position) {
      if (this.playing) this.pause();
      this.position = Math.max(0, Math.min(this.model.count, Math.round(position)));
      this.told.moved();
    }

    // Go to a stop by its index, or to the nearest there is.
    goToStop(index) {
      const { stops } = this.model;
      const stop = stops[Math.max(0, Math.min(stops.length - 1, index))];
      this.goTo(stop.at);
    }

    // The stop before the present place, or after it.
    goToNeighbour(step) {
      const { stops, count } = this.model;
      const at = stops[this.stop].at;
      if (step < 0) this.goToStop(this.position > at ? this.stop : this.stop - 1);
      else if (this.stop + 1 < stops.length) this.goToStop(this.stop + 1);
      else this.goTo(count);
    }
  };
})((window.stitchOut = window.stitchOut || {}));

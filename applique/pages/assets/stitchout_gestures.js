"use strict";
// Moving and enlarging what is seen: wheel, fingers, mouse and keys on the stage.
(function (page) {
  const WHEEL = 0.0016; // how much a px of the wheel enlarges, as a power of e
  const KEY_FACTOR = 1.5;
  const KEY_SHIFT = 0.15; // of the stage's width

  page.listenToGestures = function (stage, screen, wake) {
    const fingers = new Map();

    stage.addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        const [x, y] = placeOf(event);
        const lines = event.deltaMode === 1 ? 16 : 1;
        screen.enlarge(Math.exp(-event.deltaY * lines * WHEEL), x, y);
        wake();
      },
      { passive: false }
    );

    stage.addEventListener("pointerdown", (event) => {
      fingers.set(event.pointerId, placeOf(event));
      stage.setPointerCapture(event.pointerId);
    });

    stage.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId);
      if (!before) return;
      const now = placeOf(event);
      const other = [...fingers].find(([id]) => id !== event.pointerId);
      if (other) pinch(other[1], before, now);
      else screen.shift(now[0] - before[0], now[1] - before[1]);
      fingers.set(event.pointerId, now);
      wake();
    });

    ["pointerup", "pointercancel"].forEach((kind) => {
      stage.addEventListener(kind, (event) => fingers.delete(event.pointerId));
    });

    stage.addEventListener("dblclick", (event) => {
      screen.enlarge(KEY_FACTOR * KEY_FACTOR, ...placeOf(event));
      wake();
    });

    // One finger stays, the other moves: the picture turns about neither, it grows between them.
    function pinch(still, before, now) {
      const was = Math.hypot(before[0] - still[0], before[1] - still[1]);
      const is = Math.hypot(now[0] - still[0], now[1] - still[1]);
      screen.shift((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
      if (was > 0) screen.enlarge(is / was, (still[0] + now[0]) / 2, (still[1] + now[1]) / 2);
    }

    function placeOf(event) {
      const box = stage.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    }
  };

  // What a key does to the view; whether it does anything.
  page.viewKey = function (event, screen) {
    const away = screen.view.width * KEY_SHIFT;
    const shifts = {
      ArrowLeft: [away, 0],
      ArrowRight: [-away, 0],
      ArrowUp: [0, away],
      ArrowDown: [0, -away],
    };
    if (event.shiftKey && shifts[event.key]) screen.shift(...shifts[event.key]);
    else if (event.key === "+" || event.key === "=") screen.enlarge(KEY_FACTOR);
    else if (event.key === "-") screen.enlarge(1 / KEY_FACTOR);
    else if (event.key === "0") screen.fit();
    else return false;
    return true;
  };
})((window.stitchOut = window.stitchOut || {}));

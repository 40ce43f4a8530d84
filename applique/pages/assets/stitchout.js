"use strict";
// The page itself: its buttons, slider, words and keys, and one clock for all.
(function (page) {
  const byId = (id) => document.getElementById(id);
  const grouped = new Intl.NumberFormat("en-GB");

  async function begin() {
    const model = page.unpacked(byId("sewing").textContent);
    const fabrics = new page.Fabrics(model);
    await fabrics.ready();
    const stage = byId("stage");
    const screen = new page.Screen(model, fabrics, stage);
    const items = [...document.querySelectorAll("[data-stop]")];
    const player = new page.Player(model, { moved, turned });
    let waking = 0;
    let before = 0;
    let listed = -1;
    let told = "";
    let shown = false;

    function wake() {
      if (waking) return;
      before = performance.now();
      waking = requestAnimationFrame(frame);
    }

    // The clock stands still while the picture is behind, and sleeps when there is nothing to do.
    function frame(now) {
      waking = 0;
      if (shown) player.pass(Math.max(0, now - before) / 1000);
      before = now;
      shown = screen.draw(player.point, model.stops[player.stop].field);
      if (player.playing || !shown) waking = requestAnimationFrame(frame);
    }

    function moved() {
      const slider = byId("place");
      slider.value = String(player.point);
      const count = `${grouped.format(player.point)} of ${grouped.format(model.count)}`;
      slider.setAttribute("aria-valuetext", `stitch ${count}`);
      byId("count").textContent = count;
      mark();
      wake();
    }

    // Tell the stop that was reached, or that there is nothing more to sew.
    function mark() {
      const stop = player.stop;
      const ended = player.point === model.count && model.stops[stop].at < model.count;
      if (ended) byId("said").textContent = `All ${grouped.format(model.count)} stitches are sewn.`;
      else if (stop !== listed || told === "end") byId("said").textContent = items[stop].dataset.said;
      told = ended ? "end" : "stop";
      if (stop === listed) return;
      if (listed >= 0) items[listed].removeAttribute("aria-current");
      items[stop].setAttribute("aria-current", "step");
      listed = stop;
      keepInSight(items[stop]);
    }

    function turned(isPlaying) {
      byId("play").textContent = isPlaying ? "Pause" : "Play";
      wake();
    }

    function keepInSight(item) {
      const list = byId("stops");
      if (list.scrollHeight <= list.clientHeight) return;
      const row = item.getBoundingClientRect();
      const seen = list.getBoundingClientRect();
      list.scrollTop += row.top - seen.top - (seen.height - row.height) / 3;
    }

    const doing = {
      play: () => player.toggle(),
      first: () => player.goTo(0),
      last: () => player.goTo(model.count),
      "stop-before": () => player.goToNeighbour(-1),
      "stop-after": () => player.goToNeighbour(1),
      larger: () => screen.enlarge(1.5),
      smaller: () => screen.enlarge(1 / 1.5),
      fit: () => screen.fit(),
    };
    Object.entries(doing).forEach(([id, act]) => {
      byId(id).addEventListener("click", () => {
        act();
        wake();
      });
    });
    items.forEach((item, index) => {
      item.querySelector("button").addEventListener("click", () => player.goToStop(index));
    });
    byId("place").addEventListener("input", (event) => player.goTo(Number(event.target.value)));
    byId("speed").addEventListener("change", (event) => {
      player.speed = Number(event.target.value);
    });
    byId("waits").addEventListener("change", (event) => {
      player.waits = event.target.checked;
    });
    player.speed = Number(byId("speed").value);
    player.waits = byId("waits").checked;

    const keys = {
      " ": () => player.toggle(),
      ArrowRight: () => player.goTo(player.point + 1),
      ArrowLeft: () => player.goTo(player.point - 1),
      PageDown: () => player.goToNeighbour(1),
      PageUp: () => player.goToNeighbour(-1),
      Home: () => player.goTo(0),
      End: () => player.goTo(model.count),
    };
    // Keys count while something of the player has the focus; its controls keep those of their own.
    byId("player").addEventListener("keydown", (event) => {
      const { target, key } = event;
      if (event.ctrlKey || event.metaKey || event.altKey || target.matches("select")) return;
      if (key === " " && target.matches("button, input[type=checkbox]")) return;
      if (page.viewKey(event, screen)) wake();
      else if (keys[key]) keys[key]();
      else return;
      event.preventDefault();
    });

    page.listenToGestures(stage, screen, wake);
    new ResizeObserver(() => {
      // On paper the stage takes its height from the picture, not the other way round.
      if (window.matchMedia("print").matches) return;
      screen.resize();
      wake();
    }).observe(stage);
    byId("player").classList.add("ready");
    page.player = player;
    page.screen = screen;
    moved();
  }

  begin();
})((window.stitchOut = window.stitchOut || {}));

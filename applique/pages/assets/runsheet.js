// Counts what is ticked off, and remembers it where the browser lets a page remember anything.
(() => {
  const sittings = document.getElementById("sittings");
  const boxes = [...sittings.querySelectorAll("input[type=checkbox]")];
  const kept = sittings.dataset.kept;

  const remembered = () => {
    try {
      return JSON.parse(localStorage.getItem(kept)) || [];
    } catch {
      return [];
    }
  };
  const remember = (ids) => {
    try {
      localStorage.setItem(kept, JSON.stringify(ids));
    } catch {
      // Then the ticks last as long as the page is open.
    }
  };

  const bar = document.createElement("div");
  bar.className = "progress";
  const count = document.createElement("output");
  const clear = document.createElement("button");
  clear.type = "button";
  clear.textContent = "Clear ticks";
  bar.append(count, clear);
  sittings.prepend(bar);

  const told = () => {
    const done = boxes.filter((box) => box.checked);
    count.textContent = `${done.length} of ${boxes.length} done`;
    remember(done.map((box) => box.id));
  };
  clear.addEventListener("click", () => {
    boxes.forEach((box) => { box.checked = false; });
    told();
  });
  sittings.addEventListener("change", told);
  const before = new Set(remembered());
  boxes.forEach((box) => { box.checked = before.has(box.id); });
  told();
})();

// The table under a figure is fetched when somebody opens it, and again when it is ordered, searched or turned over.
"use strict";

(function () {
  const PAUSE_MS = 250; // between the last letter typed and the search
  const asked = new WeakMap(); // by box: what its reader asked of the table, and of which address

  function asking(box) {
    const now = asked.get(box);
    if (now && now.table === box.dataset.table) return now;
    const fresh = { table: box.dataset.table, told: {}, turn: 0 };
    asked.set(box, fresh);
    return fresh;
  }

  async function fetched(box, now) {
    const turn = (now.turn += 1);
    const told = new URLSearchParams(now.told).toString();
    const answer = await fetch(told ? `${box.dataset.table}&${told}` : box.dataset.table);
    const text = answer.ok ? await answer.text() : null;
    return turn === now.turn && asking(box) === now ? { text } : null; // else something newer is on its way
  }

  async function fill(box) {
    if (box.dataset.filled === box.dataset.table) return;
    box.dataset.filled = box.dataset.table;
    const answer = await fetched(box, asking(box));
    if (!answer) return;
    if (answer.text === null) box.textContent = box.dataset.trouble;
    else box.innerHTML = answer.text; // written by this server, with every cell escaped
  }

  // Puts what came in the place of what stood, but leaves alone the field that is typed in.
  async function change(box, more, find) {
    const now = asking(box);
    now.told = Object.fromEntries(Object.entries({ ...now.told, ...more }).filter(([, value]) => value));
    const answer = await fetched(box, now);
    if (!answer) return;
    if (answer.text === null) {
      box.querySelector(".table-tools [role=status]").textContent = box.dataset.trouble;
      return;
    }
    const fresh = document.createElement("template");
    fresh.innerHTML = answer.text;
    const typed = box.querySelector("input[type=search]");
    const label = typed.closest("label");
    const tools = fresh.content.querySelector(".table-tools");
    box.querySelector("[role=status]").textContent = tools.querySelector("[role=status]").textContent;
    for (const old of [...label.parentElement.querySelectorAll("a")]) old.remove();
    label.parentElement.append(...tools.querySelectorAll("a"));
    tools.remove();
    while (label.parentElement.nextSibling) label.parentElement.nextSibling.remove();
    box.append(...fresh.content.childNodes);
    const again = find && (box.querySelector(find) || box.querySelector("[data-page]:enabled"));
    if (again) (again.disabled ? box.querySelector("[data-page]:enabled") : again).focus({ preventScroll: true });
  }

  // "toggle" does not rise through the document, so it is caught on its way down.
  document.addEventListener(
    "toggle",
    function (event) {
      const box = event.target.querySelector && event.target.querySelector(":scope > [data-table]");
      if (box && event.target.open) fill(box);
    },
    true,
  );

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-table] button");
    if (!button) return;
    const box = button.closest("[data-table]");
    if (button.dataset.page) {
      change(box, { page: button.dataset.page }, `[data-step="${button.dataset.step}"]`);
    } else if (button.dataset.sort) {
      const order = button.closest("th").getAttribute("aria-sort");
      const falling = order === "ascending" ? "yes" : "";
      const find = `[data-sort="${CSS.escape(button.dataset.sort)}"]`;
      change(box, { sort: button.dataset.sort, falling, page: "" }, find);
    }
  });

  let pause = 0;
  document.addEventListener("input", function (event) {
    const box = event.target.matches("input[type=search]") && event.target.closest("[data-table]");
    if (!box) return;
    window.clearTimeout(pause);
    pause = window.setTimeout(() => change(box, { search: event.target.value.trim(), page: "" }), PAUSE_MS);
  });
})();

// The table under a figure is fetched when somebody opens it, and again when the choices above it change.
"use strict";

(function () {
  async function fill(box) {
    const address = box.dataset.table;
    if (box.dataset.filled === address) return;
    box.dataset.filled = address;
    const answer = await fetch(address);
    const content = answer.ok ? await answer.text() : "";
    if (box.dataset.table !== address) return; // the choices have changed meanwhile
    if (answer.ok) {
      box.innerHTML = content; // written by this server, with every cell escaped
    } else {
      box.textContent = box.dataset.trouble;
      delete box.dataset.filled;
    }
  }

  function fillIfOpen(box) {
    if (box.closest("details").open) fill(box);
  }

  // "toggle" does not rise through the document, so it is caught on its way down.
  document.addEventListener(
    "toggle",
    function (event) {
      const box = event.target.querySelector && event.target.querySelector(":scope > [data-table]");
      if (box) fillIfOpen(box);
    },
    true,
  );

  new MutationObserver(function (changes) {
    changes.forEach((change) => fillIfOpen(change.target));
  }).observe(document.documentElement, { subtree: true, attributes: true, attributeFilter: ["data-table"] });
})();

// The table under a figure is fetched when somebody opens it.
"use strict";

(function () {
  async function fill(box) {
    if (box.dataset.filled === box.dataset.table) return;
    box.dataset.filled = box.dataset.table;
    const answer = await fetch(box.dataset.table);
    if (answer.ok) box.innerHTML = await answer.text(); // written by this server, with every cell escaped
    else box.textContent = box.dataset.trouble;
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
})();

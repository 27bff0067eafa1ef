// Keys 1 to 5 choose an answer while the focus is in the question and not in a field; after an answer the focus goes
// to the next question.
"use strict";

(function () {
  let answered = false;

  document.addEventListener("keydown", function (event) {
    const part = event.target.closest && event.target.closest(".case");
    const isField = event.target.matches && event.target.matches("input, textarea, select");
    if (!part || isField || event.ctrlKey || event.metaKey || event.altKey) return;
    const button = part.querySelector(`[data-key="${event.key}"]`);
    if (!button) return;
    event.preventDefault();
    button.click();
  });

  document.addEventListener("click", function (event) {
    if (event.target.closest(".case [data-key], .noted button, .decided button")) answered = true;
    const link = event.target.closest(".asked-list a, .case a[href*='question=']");
    if (link) answered = true;
  });

  new MutationObserver(function () {
    const part = document.getElementById("case-part");
    if (!answered || !part || part === document.activeElement) return;
    if (document.activeElement && document.activeElement !== document.body) return;
    answered = false;
    part.focus({ preventScroll: false });
  }).observe(document.documentElement, { subtree: true, childList: true });
})();

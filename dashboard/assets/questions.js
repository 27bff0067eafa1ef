// Keys 1 to 5 choose an answer while the focus is in the question and not in a field; after an answer the focus goes
// to the next question.
"use strict";

(function () {
  let answered = false;

  // Dash draws radio buttons as a list box whose options hold the buttons. To whoever hears the page they are to be
  // what they look like: a named group of radio buttons.
  function asRadios() {
    for (const group of document.querySelectorAll(".dash-radioitems[role=listbox]")) {
      group.setAttribute("role", "radiogroup");
      group.setAttribute("aria-labelledby", `${group.id}-legend`);
    }
    for (const label of document.querySelectorAll(".dash-radioitems label[role], .dash-radioitems label[aria-selected]")) {
      label.removeAttribute("role");
      label.removeAttribute("aria-selected");
    }
  }
  new MutationObserver(asRadios).observe(document.documentElement, {
    subtree: true,
    childList: true,
    attributeFilter: ["aria-selected"],
  });

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

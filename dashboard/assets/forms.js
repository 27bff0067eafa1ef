// A form whose answer is an address of the dashboard opens it without loading the page anew. One that says so keeps the
// garden that is chosen now: it may have changed since the form was drawn.
"use strict";

document.addEventListener("submit", function (event) {
  const form = event.target.closest("form[data-inside]");
  if (!form) return;
  event.preventDefault();
  const target = new URL(form.getAttribute("action"), window.location.href);
  for (const [name, value] of new FormData(form)) {
    if (value) target.searchParams.set(name, value);
    else target.searchParams.delete(name);
  }
  window.longrow.go(form.dataset.keeps ? window.longrow.ofGarden(target).href : target.href);
});

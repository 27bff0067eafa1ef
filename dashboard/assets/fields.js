// Puts the inputs of a form where their places are marked, and keeps what was typed until it is sent.
"use strict";

(function () {
  function fill(place) {
    const told = JSON.parse(place.dataset.field);
    const input = document.createElement("input");
    for (const [name, value] of Object.entries(told)) input.setAttribute(name, value);
    place.append(input);
    const form = input.closest("form[data-draft]");
    if (form) recall(form, input);
  }

  function drafts(form) {
    try {
      return JSON.parse(window.localStorage.getItem("longrow-" + form.dataset.draft)) || {};
    } catch {
      return {}; // storage may be switched off
    }
  }

  function recall(form, input) {
    const kept = drafts(form)[input.name];
    if (kept === undefined) return;
    if (input.type === "radio") input.checked = input.value === kept;
    else input.value = kept;
  }

  function keep(form) {
    try {
      const typed = Object.fromEntries(new FormData(form));
      window.localStorage.setItem("longrow-" + form.dataset.draft, JSON.stringify(typed));
    } catch {
      return; // what is typed still stands on the page
    }
  }

  window.longrow.forget = function (form) {
    if (!form.dataset.draft) return;
    try {
      window.localStorage.removeItem("longrow-" + form.dataset.draft);
    } catch {
      return;
    }
  };

  function fillAll() {
    for (const place of document.querySelectorAll(".field:empty")) fill(place);
  }

  // A number that is typed says that the plot was picked; a word that needs no number takes them away.
  function settle(input) {
    const plot = input.closest("[data-plot]");
    if (!plot) return;
    const choose = (state) => (plot.querySelector(`input[type="radio"][value="${state}"]`).checked = true);
    const state = plot.querySelector('input[type="radio"]:checked').value;
    const numbers = [...plot.querySelectorAll('input:not([type="radio"])')];
    if (input.type !== "radio") {
      if (input.value && (state === "none" || state === "zero")) choose("picked");
      if (input.value && state === "unweighed" && input.name.startsWith("weight")) choose("picked");
    } else if (state === "none" || state === "zero") {
      for (const number of numbers) number.value = "";
    } else if (state === "unweighed") {
      for (const number of numbers) if (number.name.startsWith("weight")) number.value = "";
    }
  }

  document.addEventListener("input", function (event) {
    settle(event.target);
    const form = event.target.closest("form[data-draft]");
    if (form) keep(form);
  });

  new MutationObserver(fillAll).observe(document.documentElement, { subtree: true, childList: true });
})();

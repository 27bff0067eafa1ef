// Hands in files and forms without leaving the page, says what happens, and opens the answer.
"use strict";

(function () {
  const TOO_BIG = 413;
  const ENOUGH_FOR_TODAY = 429;
  let settled = -1;

  function say(form, words) {
    const state = form.querySelector(".hand-in-state") || form.parentElement.querySelector(".hand-in-state");
    if (state) state.textContent = words || "";
  }

  function busy(form, is) {
    form.setAttribute("aria-busy", String(is));
    for (const button of form.querySelectorAll("button")) button.disabled = is;
  }

  // Posts a form's content and opens what the answer names; says so in the form where that does not work.
  async function post(form, content, troubles) {
    busy(form, true);
    try {
      const answer = await fetch(form.getAttribute("action"), { method: "POST", body: content });
      const told = await answer.json().catch(() => ({}));
      if (told.next) {
        window.longrow.forget(form);
        say(form, "");
        remember(form);
        open(told);
        return;
      }
      if (told.wants) return want(form, told.wants);
      if (answer.status === ENOUGH_FOR_TODAY && told.message) return say(form, told.message);
      say(form, answer.status === TOO_BIG && troubles.tooBig ? troubles.tooBig : troubles.lost);
    } catch {
      say(form, troubles.lost);
    } finally {
      busy(form, false);
    }
  }

  // What changed something on the very page that is open draws it anew.
  function open(told) {
    const here = window.location.pathname + window.location.search;
    if (told.again && told.next.split("?")[0] === window.location.pathname) {
      window.dash_clientside.set_props("changed", { data: Date.now() });
      if (document.activeElement === document.body) document.getElementById("main").focus({ preventScroll: true });
    } else if (told.next !== here) window.longrow.go(told.next);
  }

  // Lists what is still wanted, built from text alone.
  function want(form, wants) {
    const place = form.querySelector("[data-wants]");
    if (!place) return say(form, wants.join(" "));
    const heading = document.createElement("p");
    heading.textContent = place.dataset.wants;
    const list = document.createElement("ul");
    for (const words of wants) {
      const entry = document.createElement("li");
      entry.textContent = words;
      list.append(entry);
    }
    place.replaceChildren(heading, list);
    place.focus();
  }

  function handIn(form, file) {
    if (!file) return;
    const named = (words) => words.replace("{file}", file.name);
    const content = new FormData();
    content.append("file", file, file.name);
    say(form, named(form.dataset.reading));
    post(form, content, { lost: named(form.dataset.notArrived), tooBig: named(form.dataset.tooBig) });
  }

  // What is typed into a slip becomes part of the address, as a button does.
  function type(form) {
    const typed = encodeURIComponent(form.querySelector("input").value.trim()).replace(/[!'()*]/g, percent);
    const fix = form.dataset.fix.replace(encodeURIComponent("{typed}"), typed);
    const target = new URL(form.dataset.here, window.location.href);
    target.searchParams.set("fix", form.dataset.kept ? form.dataset.kept + "," + fix : fix);
    remember(form);
    window.longrow.go(target.href);
  }

  function percent(letter) {
    return "%" + letter.charCodeAt(0).toString(16).toUpperCase();
  }

  // After an answer the focus goes on to the next thing that waits, else to the line that took its place.
  function remember(element) {
    const slips = [...document.querySelectorAll(".ask, .settled")];
    settled = slips.indexOf(element.closest(".ask, .settled, .finding .buttons") || element.closest(".ask"));
    const article = element.closest(".finding");
    if (settled < 0 && article) settled = slips.findIndex((slip) => article.contains(slip));
  }

  function goOn() {
    if (settled < 0) return;
    const slips = [...document.querySelectorAll(".ask, .settled")];
    if (!slips.length || document.querySelector('#main[data-dash-is-loading="true"]')) return;
    const next = slips.slice(settled).find((slip) => slip.matches(".ask"));
    const target = next ? next.querySelector("a, button, summary") : slips[Math.min(settled, slips.length - 1)];
    settled = -1;
    if (target) target.focus();
  }

  document.addEventListener("change", function (event) {
    const form = event.target.closest("form[data-hand-in]");
    if (form && event.target.type === "file") handIn(form, event.target.files[0]);
  });

  document.addEventListener("dragover", function (event) {
    const form = event.target.closest && event.target.closest("form[data-hand-in]");
    if (!form) return;
    event.preventDefault();
    form.classList.add("over");
  });

  document.addEventListener("dragleave", function (event) {
    const form = event.target.closest && event.target.closest("form[data-hand-in]");
    if (form && !form.contains(event.relatedTarget)) form.classList.remove("over");
  });

  document.addEventListener("drop", function (event) {
    const form = event.target.closest && event.target.closest("form[data-hand-in]");
    if (!form) return;
    event.preventDefault();
    form.classList.remove("over");
    handIn(form, event.dataTransfer.files[0]);
  });

  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (!form.matches("form[data-hand-in], form[data-post], form[data-fix]")) return;
    event.preventDefault();
    if (form.matches("[data-fix]")) type(form);
    else if (form.matches("[data-post]")) post(form, new FormData(form), { lost: form.dataset.notArrived });
  });

  document.addEventListener("click", function (event) {
    const way = event.target.closest("a[data-way]");
    if (way) remember(way);
    if (event.target.closest("[data-print]")) window.print();
  });

  new MutationObserver(goOn).observe(document.documentElement, {
    subtree: true,
    childList: true,
    attributes: true,
    attributeFilter: ["data-dash-is-loading"],
  });
})();

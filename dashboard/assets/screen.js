// What the page is drawn on: paper, width, time zone. Pages are built for it on the server.
"use strict";

(function () {
  const dark = window.matchMedia("(prefers-color-scheme: dark)");

  function screen() {
    return {
      paper: window.longrow.paper(),
      width: window.longrow.width(),
      zone: Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC",
    };
  }

  function showPaper() {
    window.longrow.show();
    const stored = window.longrow.storedPaper() || "device";
    for (const button of document.querySelectorAll("[data-paper]")) {
      button.setAttribute("aria-pressed", String(button.dataset.paper === stored));
    }
  }

  // On a phone the names of the pages scroll sideways; that of this page is brought into sight.
  function showPageName() {
    const now = document.querySelector(".mast nav a[aria-current]");
    if (!now) return;
    const nav = now.closest("nav");
    const beyond = now.getBoundingClientRect().right - nav.getBoundingClientRect().right;
    if (beyond > -16) nav.scrollLeft += beyond + 24;
  }

  let told = "";
  let waiting = 0;

  // While a window is dragged wider, pages are not drawn anew at every pixel.
  function tellSoon() {
    if (window.matchMedia("print").matches) return;
    window.clearTimeout(waiting);
    waiting = window.setTimeout(tell, 150);
  }

  function tell() {
    showPaper();
    const now = screen();
    if (JSON.stringify(now) === told) return;
    told = JSON.stringify(now);
    window.dash_clientside.set_props("screen", { data: now });
  }

  function choosePaper(event) {
    const button = event.target.closest("[data-paper]");
    if (!button) return;
    try {
      if (button.dataset.paper === "device") window.localStorage.removeItem("longrow-paper");
      else window.localStorage.setItem("longrow-paper", button.dataset.paper);
    } catch {
      return; // storage may be switched off: the device's setting stays
    }
    tell();
  }

  window.longrow.wide.addEventListener("change", tellSoon);
  dark.addEventListener("change", tellSoon);
  document.addEventListener("click", choosePaper);

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.longrow = Object.assign(window.dash_clientside.longrow || {}, {
    screen: function (_path, known) {
      if (known) return window.dash_clientside.no_update;
      showPaper();
      const now = screen();
      told = JSON.stringify(now);
      return now;
    },
    title: function (title) {
      if (title) document.title = title;
      window.requestAnimationFrame(showPageName);
    },
    language: function (language) {
      if (language) document.documentElement.lang = language;
    },
    reading: function (path, words) {
      return words[path] || words["/gradient"];
    },
  });
})();

// Pointing at a garden, in any strip or in the ruler, marks it in all of them and reads it out beside them.
"use strict";

(function () {
  let pointed = null;

  // Moves the plumb line and the ring of one figure; without a garden neither is seen.
  function move(sight, site) {
    const place = JSON.parse(sight.dataset.places)[site || sight.dataset.chosen];
    for (const mark of sight.children) {
      const isRing = mark.className === "ring";
      mark.hidden = !place || (isRing && place[1] === null);
      if (mark.hidden) continue;
      mark.style.setProperty("--at", place[0]);
      if (isRing) mark.style.top = place[1] + "px";
    }
  }

  function read(block, site) {
    const lines = JSON.parse(block.dataset.readouts)[site || block.dataset.chosen];
    if (!lines) return;
    for (const strip of block.querySelectorAll("[data-strip]")) {
      for (const line of strip.querySelectorAll("[data-line]")) {
        line.textContent = (lines[strip.dataset.strip] || [])[Number(line.dataset.line)] || "";
      }
    }
  }

  function point(site) {
    if (site === pointed) return;
    pointed = site;
    for (const link of document.querySelectorAll("[data-site]")) {
      link.classList.toggle("pointed", link.dataset.site === site);
    }
    for (const sight of document.querySelectorAll("[data-places]")) move(sight, site);
    for (const block of document.querySelectorAll("[data-readouts]")) read(block, site);
  }

  function siteIn(figures) {
    for (const data of figures) {
      const site = data && data.points && data.points[0] && data.points[0].customdata;
      if (typeof site === "string") return site;
    }
    return null;
  }

  function over(event) {
    const link = event.target.closest("[data-site]");
    if (link) point(link.dataset.site);
  }

  function out(event) {
    if (event.target.closest("[data-site]")) point(null);
  }

  document.addEventListener("mouseover", over);
  document.addEventListener("mouseout", out);
  document.addEventListener("focusin", over);
  document.addEventListener("focusout", out);

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.longrow = Object.assign(window.dash_clientside.longrow || {}, {
    point: function (figures) {
      point(siteIn(figures));
    },
    choose: function (figures) {
      const changed = window.dash_clientside.callback_context.triggered[0];
      const site = changed && siteIn([changed.value]);
      if (!site) return;
      const target = new URL(window.location.href);
      if (target.searchParams.get("garden") === site) return;
      target.searchParams.set("garden", site);
      window.longrow.go(target);
    },
  });
})();

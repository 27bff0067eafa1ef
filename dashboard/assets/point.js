// Pointing at a garden, in any strip or in the ruler, marks it in all of them and reads it out beside them.
"use strict";

(function () {
  let pointed = null;
  let chosen = null;
  let waits = false;
  let pressed = null;
  const REACH = 24;
  const STILL = 6;
  const WHOLE = 10000;
  const read_before = new WeakMap();

  // What an attribute carries, read once for as long as it stands.
  function carried(element, name) {
    const known = read_before.get(element);
    if (known && known.text === element.dataset[name]) return known.value;
    const value = JSON.parse(element.dataset[name]);
    if (value.sites) value.index = new Map(value.sites.map((site, index) => [site, index]));
    read_before.set(element, { text: element.dataset[name], value });
    return value;
  }

  // Moves the plumb line and the rings of one figure; without a garden none of them is seen.
  function move(sight, site) {
    const places = carried(sight, "places");
    const index = places.index.get(site || (chosen === null ? sight.dataset.chosen : chosen));
    for (const mark of sight.children) {
      const heights = places[mark.dataset.heights];
      mark.hidden = index === undefined || Boolean(heights && typeof heights[index] !== "number");
      if (mark.hidden) continue;
      mark.style.setProperty("--at", places.at[index] / WHOLE);
      if (heights) mark.style.top = heights[index] + "px";
    }
  }

  function read(block, site) {
    const known = carried(block, "readouts");
    const asked = site || chosen || block.dataset.chosen;
    if (!asked) return;
    const lines = known[asked] || { where: [asked, block.dataset.unread] };
    for (const strip of block.querySelectorAll("[data-strip]")) {
      for (const line of strip.querySelectorAll("[data-line]")) {
        line.textContent = (lines[strip.dataset.strip] || [])[Number(line.dataset.line)] || "";
      }
    }
  }

  // The garden of a crowd whose mark is nearest to the pointer; null where none is near.
  function nearest(plot, event) {
    const sight = plot.querySelector("[data-places]");
    const places = sight && carried(sight, "places");
    if (!places || !places.crowd) return null;
    const box = sight.getBoundingClientRect();
    const [left, right] = places.margins;
    const width = box.width - left - right;
    const along = event.clientX - box.left - left;
    const down = event.clientY - box.top;
    let found = null;
    let least = REACH * REACH;
    for (let index = 0; index < places.sites.length; index += 1) {
      const across = (places.at[index] / WHOLE) * width - along;
      if (across * across >= least) continue;
      for (const heights of [places.up, places.further || []]) {
        if (typeof heights[index] !== "number") continue;
        const away = across * across + (heights[index] - down) ** 2;
        if (away < least) [least, found] = [away, places.sites[index]];
      }
    }
    return found;
  }

  function point(site) {
    if (site === pointed) return;
    pointed = site;
    show(site);
  }

  function show(site) {
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

  // A crowd's marks are one picture, so the pointer itself finds the garden, once for each picture of the screen.
  function among(event) {
    const plot = event.target.closest && event.target.closest(".plot");
    if (!plot || waits) return;
    waits = true;
    window.requestAnimationFrame(function () {
      waits = false;
      const sight = plot.querySelector("[data-places]");
      if (sight && carried(sight, "places").crowd) point(nearest(plot, event));
    });
  }

  function leave(event) {
    if (event.target.classList && event.target.classList.contains("plot")) point(null);
  }

  function choose(site) {
    const target = new URL(window.location.href);
    if (!site || target.searchParams.get("garden") === site) return;
    target.searchParams.set("garden", site);
    window.longrow.go(target);
  }

  document.addEventListener("mousemove", among);
  document.addEventListener("mouseleave", leave, true);
  // Plotly lays a cover over the page while a button is down, so a click reaches no part of the figure.
  document.addEventListener("pointerdown", function (event) {
    const plot = event.target.closest && event.target.closest(".plot");
    const site = plot && nearest(plot, event);
    pressed = site && { site, x: event.clientX, y: event.clientY };
  });
  document.addEventListener("pointerup", function (event) {
    const from = pressed;
    pressed = null;
    if (from && Math.hypot(event.clientX - from.x, event.clientY - from.y) < STILL) choose(from.site);
  });
  document.addEventListener("mouseover", over);
  document.addEventListener("mouseout", out);
  document.addEventListener("focusin", over);
  document.addEventListener("focusout", out);

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.longrow = Object.assign(window.dash_clientside.longrow || {}, {
    // Marks the chosen garden in figures that need not be drawn anew for it; `told` has its lines.
    mark: function (told) {
      if (!told) return;
      chosen = told.site || "";
      window.requestAnimationFrame(function () {
        for (const block of document.querySelectorAll("[data-readouts]")) {
          if (Object.keys(told.lines || {}).length) carried(block, "readouts")[told.site] = told.lines;
        }
        show(pointed);
        window.longrow.keepGarden();
      });
    },
    point: function (figures) {
      point(siteIn(figures));
    },
    choose: function (figures) {
      const changed = window.dash_clientside.callback_context.triggered[0];
      choose(changed && siteIn([changed.value]));
    },
  });
})();

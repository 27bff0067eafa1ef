// Pointing at a garden, in any strip or in the ruler, marks it in all of them and reads it out beside them.
"use strict";

(function () {
  let pointed = null;

  // Moves the plumb line and the ring of one figure; without a garden neither is seen.
  function move(graph, site) {
    const meta = graph.layout && graph.layout.meta;
    if (!meta || !meta.places || !graph._fullLayout) return;
    const place = meta.places[site || meta.chosen];
    const changes = {};
    (graph.layout.shapes || []).forEach(function (shape, index) {
      const key = "shapes[" + index + "].";
      if (shape.name !== "plumb" && shape.name !== "ring") return;
      changes[key + "visible"] = Boolean(place);
      if (!place) return;
      if (shape.name === "plumb") {
        changes[key + "x0"] = changes[key + "x1"] = place[0];
      } else {
        changes[key + "xanchor"] = place[0];
        changes[key + "yanchor"] = place[1];
      }
    });
    if (Object.keys(changes).length) {
      window.Plotly.relayout(graph, changes).catch(function (problem) {
        if (graph._fullLayout) throw problem; // else the figure went while its line moved
      });
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
    for (const graph of document.querySelectorAll(".frame .js-plotly-plot")) move(graph, site);
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

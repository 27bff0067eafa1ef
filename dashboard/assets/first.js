// Runs before anything is drawn: the paper and the width, so that nothing flashes or jumps.
"use strict";

window.longrow = {
  // The reader's paper on this device: light or dark if chosen, else as the device is set.
  storedPaper: function () {
    try {
      return window.localStorage.getItem("longrow-paper");
    } catch {
      return null; // storage may be switched off
    }
  },
  paper: function () {
    const stored = window.longrow.storedPaper();
    if (stored === "light" || stored === "dark") return stored;
    return window.matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
  },
  // From 1240 px up, ruler and gutters are wide.
  wide: window.matchMedia("(min-width: 1240px)"),
  width: function () {
    return window.longrow.wide.matches ? "wide" : "narrow";
  },
  // Writes both where the design sheet finds them.
  show: function () {
    document.documentElement.dataset.theme = window.longrow.paper();
    document.documentElement.dataset.width = window.longrow.width();
  },
};
window.longrow.show();
